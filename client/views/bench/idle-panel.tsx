import { setup } from '../../link/latest.ts';
import { figures } from '../../link/shown.ts';
import { figureText } from '../../units/figure-text.ts';
import { BandLine } from './band-line.tsx';
import { idleWords } from './idle-words.ts';

/** Half-band shown when a target is given without one [r/min]. */
const USUAL_BAND_RPM = 50;

/** Idle speed against the figure in the service data. */
export function IdlePanel() {
  const engine = figures.value?.engine ?? null;
  const target = setup.value?.idleTargetRpm ?? null;
  const band = setup.value?.idleBandRpm ?? null;
  const idle = engine?.idleRpm ?? engine?.speedRpm ?? null;
  return (
    <section class="figure idle" aria-label="Idle speed">
      <h2 class="figure-name">Idle speed</h2>
      <p class="figure-line">
        <span class="figure-value" data-testid="idle-speed" data-rpm={idle ?? ''}>
          {figureText(idle === null ? null : Math.round(idle / 5) * 5, 0)}
        </span>
        <span class="figure-unit">r/min</span>
      </p>
      {target === null ? (
        <p class="figure-note">
          {engine !== null && !engine.running ? 'Engine not running' : 'No target set'}
        </p>
      ) : (
        <>
          <BandLine value={idle} centre={target} half={band ?? USUAL_BAND_RPM} />
          <p class="figure-note">
            {idleWords(idle, target, band ?? USUAL_BAND_RPM)}
            <span class="figure-target">
              {target}
              {band === null ? '' : ` ±\u2009${band}`}
            </span>
          </p>
        </>
      )}
    </section>
  );
}
