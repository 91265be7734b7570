import type { PracticeState } from '../../../server/contract/practice.ts';
import { CylinderPlate } from '../../charts/cylinder-plate.tsx';
import { setFault } from './practice-change.ts';
import { SwappedHoses } from './swapped-hoses.tsx';

const LEAKS_MM = [0, 0.5, 1, 1.5, 2, 3];
const MISSES: readonly { readonly share: number; readonly words: string }[] = [
  { share: 0, words: 'none' },
  { share: 0.05, words: '1 in 20' },
  { share: 0.2, words: '1 in 5' },
  { share: 0.5, words: 'half' },
  { share: 1, words: 'all' },
];

/** What can be broken on each cylinder. */
export function FaultTable({ state }: { state: PracticeState }) {
  return (
    <div class="faults">
      <h3>Faults</h3>
      <table>
        <thead>
          <tr>
            <th scope="col">
              <span class="unseen">Cylinder</span>
            </th>
            <th scope="col">Leak hole</th>
            <th scope="col">Missed firings</th>
            <th scope="col">Diaphragm</th>
            <th scope="col">Hose</th>
          </tr>
        </thead>
        <tbody>
          {state.leakMm.map((leak, cyl) => (
            <tr key={cyl}>
              <th scope="row">
                <CylinderPlate cyl={cyl} />
              </th>
              <td>
                <select
                  aria-label={`Leak hole of cylinder ${cyl + 1}`}
                  data-testid={`leak-${cyl + 1}`}
                  value={String(leak)}
                  onChange={(event) => setFault('leakMm', cyl, Number(event.currentTarget.value))}
                >
                  {withValue(LEAKS_MM, leak).map((mm) => (
                    <option key={mm} value={String(mm)}>
                      {mm === 0 ? 'tight' : `${mm} mm`}
                    </option>
                  ))}
                </select>
              </td>
              <td>
                <select
                  aria-label={`Missed firings of cylinder ${cyl + 1}`}
                  data-testid={`misses-${cyl + 1}`}
                  value={String(state.missedFiring[cyl] ?? 0)}
                  onChange={(event) => setFault('missedFiring', cyl, Number(event.currentTarget.value))}
                >
                  {withValue(
                    MISSES.map(({ share }) => share),
                    state.missedFiring[cyl] ?? 0,
                  ).map((share) => (
                    <option key={share} value={String(share)}>
                      {MISSES.find((miss) => miss.share === share)?.words ?? `${Math.round(share * 100)} %`}
                    </option>
                  ))}
                </select>
              </td>
              <td>
                <Fault
                  cyl={cyl}
                  name="tornDiaphragm"
                  state={state}
                  words={['whole', 'torn']}
                  label="Diaphragm"
                  testId={`diaphragm-${cyl + 1}`}
                />
              </td>
              <td>
                <Fault
                  cyl={cyl}
                  name="hoseOff"
                  state={state}
                  words={['on', 'off']}
                  label="Hose"
                  testId={`hose-${cyl + 1}`}
                />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <SwappedHoses state={state} />
    </div>
  );
}

interface FaultProps {
  readonly cyl: number;
  readonly name: 'tornDiaphragm' | 'hoseOff';
  readonly state: PracticeState;
  /** In order, broken. */
  readonly words: readonly [string, string];
  readonly label: string;
  readonly testId: string;
}

function Fault({ cyl, name, state, words, label, testId }: FaultProps) {
  const on = state[name][cyl] ?? false;
  const word = words[on ? 1 : 0];
  return (
    <button
      type="button"
      class={on ? 'strong' : ''}
      aria-label={`${label} of cylinder ${cyl + 1}: ${word}`}
      data-testid={testId}
      onClick={() => setFault(name, cyl, !on)}
    >
      {word}
    </button>
  );
}

/** The choices, with the present value among them even when it was set elsewhere. */
function withValue(choices: readonly number[], value: number): number[] {
  return choices.includes(value) ? [...choices] : [...choices, value].sort((a, b) => a - b);
}
