import { chosenUnit } from '../../units/chosen-unit.ts';
import { pressureText } from '../../units/figure-text.ts';

/** What every channel reads just now, as absolute pressure. */
export function NowRow({ nowKpa }: { nowKpa: readonly (number | null)[] }) {
  const unit = chosenUnit.value;
  return (
    <dl class="now-row" aria-label={`Absolute pressure now, ${unit.id}`}>
      {nowKpa.map((kpa, channel) => (
        <div key={channel}>
          <dt>{channel + 1}</dt>
          <dd>{pressureText(kpa, Math.max(0, unit.maxDecimals - 1), unit)}</dd>
        </div>
      ))}
    </dl>
  );
}
