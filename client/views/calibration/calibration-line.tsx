import { api } from '../../link/api.ts';
import { practice, source, takeAnswer } from '../../link/latest.ts';
import { tell } from '../../link/notice.ts';
import { openView } from '../view.ts';

/** One plain line on the bench where the calibration wants something; nothing while all is well. */
export function CalibrationLine() {
  if ((practice.value?.vesselVacuumKpa ?? null) !== null) return <HosesOnVessel />;
  const sentence = source.value?.calibrationSentence ?? '';
  if (sentence === '') return null;
  return (
    <section class="panel calibration-line" aria-label="Calibration" data-testid="calibration-line">
      <p class="panel-note">{sentence}</p>
      <div class="button-row">
        <button type="button" data-testid="open-calibration" onClick={() => openView('calibration')}>
          Calibration
        </button>
      </div>
    </section>
  );
}

/** Why the practice engine shows no pulses. */
function HosesOnVessel() {
  const putBack = async () => {
    const answer = await tell(api.changePractice({ vesselVacuumKpa: null }));
    if (answer.ok) takeAnswer({ type: 'event', event: 'practice', practice: answer.value });
  };
  return (
    <section class="panel calibration-line" aria-label="Hoses" data-testid="hoses-on-vessel">
      <p class="panel-note">
        The hoses hang on the vessel of the practice bench, so the engine shows no pulse.
      </p>
      <div class="button-row">
        <button type="button" data-testid="hoses-back" onClick={putBack}>
          Put them on the engine
        </button>
      </div>
    </section>
  );
}
