import type { CheckKind } from '../../../server/contract/checks.ts';
import type { PracticePatch, PracticeState } from '../../../server/contract/practice.ts';
import { tell } from '../../link/notice.ts';
import { blip, setRunning } from '../practice/practice-change.ts';
import { checksApi } from './checks-api.ts';

const PUMP_KPA = 50;
const SMALL_HOLE_MM = 0.06;

/** What a hand would do at a real engine, for the practice one. */
export function PracticeHands({ kind, state }: { kind: CheckKind; state: PracticeState }) {
  const patch = (change: PracticePatch) => void tell(checksApi.practice(change));
  return (
    <section class="panel" aria-labelledby="practice-hands">
      <h2 class="panel-name" id="practice-hands">
        Practice engine
      </h2>
      <p class="panel-note">{NOTES[kind]}</p>
      <div class="button-row">
        <button type="button" data-testid="hands-running" onClick={() => setRunning(!state.running)}>
          {state.running ? 'Stop engine' : 'Start engine'}
        </button>
        {kind === 'blip' && (
          <button type="button" data-testid="hands-blip" onClick={() => void blip()}>
            Blip
          </button>
        )}
        {kind === 'cranking' && (
          <button type="button" data-testid="hands-crank" onClick={() => patch({ cranking: true })}>
            Crank for 5 s, ignition off
          </button>
        )}
        {kind === 'two-opening' && (
          <>
            <button type="button" onClick={() => patch({ idleScrewTurns: 10 })}>
              Raise the speed
            </button>
            <button type="button" onClick={() => patch({ idleScrewTurns: 4.5 })}>
              Back to idle
            </button>
          </>
        )}
        {kind === 'hold' && (
          <>
            <button
              type="button"
              data-testid="hands-vessel"
              onClick={() => patch({ vesselVacuumKpa: 0, vesselLeakMm: null })}
            >
              Put the hoses on a vessel
            </button>
            <button
              type="button"
              data-testid="hands-pump"
              onClick={() => patch({ vesselVacuumKpa: PUMP_KPA, vesselLeakMm: null })}
            >
              Pump
            </button>
            <button type="button" data-testid="hands-let-go" onClick={() => patch({ vesselLeakMm: 0 })}>
              Let go, it is tight
            </button>
            <button
              type="button"
              data-testid="hands-let-go-leaking"
              onClick={() => patch({ vesselLeakMm: SMALL_HOLE_MM })}
            >
              Let go, it leaks
            </button>
            <button type="button" onClick={() => patch({ vesselVacuumKpa: null, vesselLeakMm: null })}>
              Hoses on the engine
            </button>
          </>
        )}
      </div>
    </section>
  );
}

const NOTES: Readonly<Record<CheckKind, string>> = {
  'key-off': 'Stop it, then check. Sensors as bought can be chosen under Calibration.',
  cranking: 'Stop it, start the check, then crank.',
  'idle-quality': 'Missed firings can be set on the bench.',
  spot: 'Make a leak on the bench. Holding the button at a spot named after a cylinder covers that cylinder’s leak.',
  hold: 'All hoses go on one small vessel with a hand pump.',
  'two-opening': 'Make a leak or turn a balance screw on the bench. Its idle screw holds a raised speed.',
  drop: 'Set a cylinder’s missed firings to all on the bench. Holding the button switches the asked one’s spark off, and a stopped engine starts again when you let go.',
  blip: 'A diaphragm can be torn on the bench.',
};
