import type { Advice } from '../../../server/contract/live.ts';
import { setup } from '../../link/latest.ts';
import { figures } from '../../link/shown.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { decimalsFor } from '../../units/decimals.ts';
import { fromKpa } from '../../units/pressure-unit.ts';

/** The two speeds at which a set with cables is balanced, and which of them is done. */
export function BalancePoints() {
  const advice = figures.value?.advice ?? null;
  if (advice === null || advice.points.length < 2) return null;
  return (
    <ul class="balance-points" data-testid="balance-points" aria-label="Balance points">
      {advice.points.map((point) => (
        <li
          key={point.id}
          data-testid={`point-${point.id}`}
          data-here={point.id === advice.point}
          data-equal={point.equal}
        >
          <strong>{pointName(point)}</strong>
          <span>
            band ±{bandText(point.toleranceKpa)}, {point.equal ? 'equal' : 'not equal yet'}
            {point.id === advice.point ? ', running here now' : ''}
          </span>
        </li>
      ))}
    </ul>
  );
}

function pointName({ id, fromRpm, toRpm }: Advice['points'][number]): string {
  if (id === 'idle') return 'Idle, stop screws';
  const target = setup.value?.raisedTargetRpm ?? null;
  return target === null
    ? `${Math.round(fromRpm / 50) * 50} to ${Math.round(toRpm / 50) * 50} r/min, cables`
    : `About ${target} r/min, cables`;
}

function bandText(toleranceKpa: number): string {
  const unit = chosenUnit.value;
  const tolerance = fromKpa(toleranceKpa, unit);
  return `${tolerance.toFixed(decimalsFor(tolerance / 10, unit.maxDecimals))} ${unit.id}`;
}
