import { source } from '../../link/latest.ts';
import { openView } from '../view.ts';

/** One plain line on the bench where the calibration wants something; nothing while all is well. */
export function CalibrationLine() {
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
