import { practice } from '../../link/latest.ts';
import { fullScreen, toggleFullScreen } from '../../settings/full-screen.ts';
import { ScreenSettings } from '../setup/screen-settings.tsx';
import { startTour } from '../tour/tour-state.ts';
import { hideSheet, showSheet } from './sheet.ts';
import { SheetFrame } from './sheet-frame.tsx';

/** Units, theme, sound and the rest, one tap away on a small screen. */
export function MoreSheet() {
  return (
    <SheetFrame name="More" closeWords="Close" closeTestId="more-close">
      <div class="button-row">
        <button type="button" onClick={() => showSheet('cautions')}>
          Cautions
        </button>
        <button type="button" onClick={() => showSheet('keys')}>
          Keys
        </button>
        {practice.value !== null && (
          <button
            type="button"
            data-testid="tour-again"
            onClick={() => {
              hideSheet();
              startTour();
            }}
          >
            Tour
          </button>
        )}
        <button type="button" aria-pressed={fullScreen.value} onClick={toggleFullScreen}>
          Full screen
        </button>
      </div>
      <p>
        <a class="file-link" href="guide/" target="_blank" rel="noreferrer">
          Guide
        </a>{' '}
        to every screen and figure.
      </p>
      <ScreenSettings />
      <p>
        <a class="file-link" href="api/diagnostics" download="idlewright-diagnostics.json">
          Save the diagnostics file
        </a>{' '}
        to send when something is wrong. It holds counters, settings and the log, nothing of owners or
        machines.
      </p>
    </SheetFrame>
  );
}
