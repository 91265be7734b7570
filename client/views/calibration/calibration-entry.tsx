import { openView } from '../view.ts';

/** The ways from the set-up to the sensors and to the health of the board. */
export function CalibrationEntry() {
  return (
    <section class="panel" aria-labelledby="calibration-entry-name">
      <h2 class="panel-name" id="calibration-entry-name">
        Sensors and board
      </h2>
      <p class="panel-note">Match, zero and compare the sensors; see noise, losses and the link.</p>
      <div class="button-row">
        <button type="button" data-testid="setup-calibration" onClick={() => openView('calibration')}>
          Calibration
        </button>
        <button type="button" data-testid="setup-health" onClick={() => openView('health')}>
          Board and cable
        </button>
      </div>
    </section>
  );
}
