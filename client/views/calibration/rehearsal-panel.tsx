import type { CalibratedBoard } from '../../../server/contract/calibration.ts';
import type { PracticePatch } from '../../../server/contract/practice.ts';
import { api } from '../../link/api.ts';
import { practice, takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { pressureText } from '../../units/figure-text.ts';
import { Choice } from '../setup/choice.tsx';

/** Steps that a hand pump makes [kPa of vacuum]. */
const STEPS_KPA = [0, 15, 30, 45, 60, 72];

async function change(patch: PracticePatch): Promise<void> {
  const answer = await tell(api.changePractice(patch));
  if (answer.ok) takeAnswer({ type: 'event', event: 'practice', practice: answer.value });
}

/** On the practice bench: sensors that need calibrating, and a vessel with a hand pump. */
export function RehearsalPanel({ board }: { board: CalibratedBoard }) {
  const state = practice.value;
  if (state === null) return null;
  const unit = chosenUnit.value;
  return (
    <section class="panel" aria-labelledby="rehearsal-name">
      <h2 class="panel-name" id="rehearsal-name">
        Rehearse it
      </h2>
      <p class="panel-note">
        {board.exact
          ? 'To rehearse, choose “As bought”: sensors as they come out of the bag. They count as a board of their own.'
          : 'Hang all hoses on the vessel, pull vacuum in steps, and match. The engine does not mind.'}
      </p>
      <Choice
        name="Practice sensors"
        group="practice-sensors"
        options={[
          { value: 'exact' as const, words: 'Exact' },
          { value: 'as-bought' as const, words: 'As bought' },
        ]}
        value={state.sensors}
        onChoose={(sensors) => change(sensors === 'exact' ? { sensors, vesselVacuumKpa: null } : { sensors })}
      />
      {!board.exact && (
        <div class="field">
          <span id="vessel-name">Hoses, and vacuum in the vessel, {unit.id}</span>
          {/* biome-ignore lint/a11y/useSemanticElements: a fieldset would take its legend out of the flow */}
          <div class="button-row" role="group" aria-labelledby="vessel-name">
            <button
              type="button"
              aria-pressed={state.vesselVacuumKpa === null}
              data-testid="vessel-off"
              onClick={() => change({ vesselVacuumKpa: null })}
            >
              On the engine
            </button>
            {STEPS_KPA.map((kpa) => (
              <button
                key={kpa}
                type="button"
                aria-pressed={state.vesselVacuumKpa === kpa}
                data-testid={`vessel-${kpa}`}
                onClick={() => change({ vesselVacuumKpa: kpa })}
              >
                {kpa === 0 ? 'Open to air' : pressureText(kpa, unit.id === 'kPa' ? 0 : 1, unit)}
              </button>
            ))}
          </div>
        </div>
      )}
    </section>
  );
}
