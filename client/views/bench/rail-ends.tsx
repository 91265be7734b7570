import { setup, toleranceKpa } from '../../link/latest.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { fromKpa } from '../../units/pressure-unit.ts';

/** What the two ends and the middle of the rail mean. */
export function RailEnds() {
  const settings = setup.value;
  const unit = chosenUnit.value;
  if (settings === null) return <p class="rail-ends" />;
  const tolerance = fromKpa(toleranceKpa.value, unit);
  const reference = settings.reference === 'mean' ? 'mean of all' : `cylinder ${settings.reference}`;
  return (
    <p class="rail-ends">
      <span>
        <span aria-hidden="true">← </span>pulls less
      </span>
      <span class="rail-ends-middle">
        <span class="roomy">against the {reference}, </span>band ±
        {tolerance.toFixed(decimalsFor(tolerance / 10, unit.maxDecimals))} {unit.id}
      </span>
      <span>
        pulls more<span aria-hidden="true"> →</span>
      </span>
    </p>
  );
}
