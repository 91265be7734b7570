import type { PracticeState } from '../../../server/contract/practice.ts';
import { swapHoses } from './practice-change.ts';

/** Two hoses of the practice engine on each other's cylinder. */
export function SwappedHoses({ state }: { state: PracticeState }) {
  const cylinders = state.hoseOff.length;
  if (cylinders < 2) return null;
  const pairs = Array.from({ length: cylinders }, (_, one) => one + 1).flatMap((one) =>
    Array.from({ length: cylinders - one }, (_, more): [number, number] => [one, one + more + 1]),
  );
  return (
    <label class="field">
      <span>Hoses swapped</span>
      <select
        data-testid="swap-hoses"
        value={state.swappedHoses?.join('-') ?? ''}
        onChange={(event) =>
          swapHoses(pairs.find((pair) => pair.join('-') === event.currentTarget.value) ?? null)
        }
      >
        <option value="">none</option>
        {pairs.map(([one, other]) => (
          <option key={`${one}-${other}`} value={`${one}-${other}`}>
            {one} and {other}
          </option>
        ))}
      </select>
    </label>
  );
}
