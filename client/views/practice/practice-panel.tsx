import { setup } from '../../link/latest.ts';
import { FaultTable } from './fault-table.tsx';
import {
  blip,
  chooseLayout,
  holdThrottle,
  panel,
  setRunning,
  turnBalanceScrew,
  turnIdleScrew,
} from './practice-change.ts';
import { ScrewControl } from './screw-control.tsx';
import { turnsWords } from './turns.ts';

/** The simulated engine's screws and faults. */
export function PracticePanel() {
  const state = panel.value;
  if (state === null) return null;
  const hasCables = state.balanceScrews.some(({ what }) => what === 'cable adjuster');
  return (
    <section class="panel practice" aria-labelledby="practice-name">
      <h2 class="panel-name" id="practice-name">
        Practice engine
      </h2>
      <div class="practice-engine">
        <label class="field">
          <span>Layout</span>
          <select
            data-testid="practice-layout"
            value={state.layout}
            onChange={(event) => chooseLayout(event.currentTarget.value)}
          >
            {state.layouts.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
        <button type="button" data-testid="practice-running" onClick={() => setRunning(!state.running)}>
          {state.running ? 'Stop engine' : 'Start engine'}
        </button>
        <button type="button" data-testid="practice-blip" disabled={!state.running} onClick={blip}>
          Blip
        </button>
        <button
          type="button"
          class="whole-line"
          data-testid="practice-hold"
          disabled={!state.running}
          aria-pressed={state.heldThrottle > 0}
          onClick={() => holdThrottle(state.heldThrottle === 0)}
        >
          {state.heldThrottle > 0 ? 'Let go of the throttle' : 'Hold a raised speed'}
        </button>
      </div>
      {hasCables && setup.value?.linkage?.kind !== 'stops-and-cables' && (
        <p class="panel-note">
          This set has stop screws and cables. Choose them under <a href="#setup">Set-up</a>, Balance screws.
        </p>
      )}
      {state.balanceScrews.map(({ name, what, turns }, index) => (
        <ScrewControl
          key={index}
          name={`${what.charAt(0).toUpperCase()}${what.slice(1)} ${name}`}
          turns={turns}
          words={turnsWords(turns)}
          least={-5}
          most={5}
          testId={`screw-${index + 1}`}
          onTurn={(step) => turnBalanceScrew(index, step)}
        />
      ))}
      <ScrewControl
        name="Idle screw"
        turns={state.idleScrewTurns}
        words={`${state.idleScrewTurns.toFixed(2)} turns`}
        least={-5}
        most={10}
        testId="idle-screw"
        onTurn={turnIdleScrew}
      />
      <FaultTable state={state} />
    </section>
  );
}
