import { captures, runningCapture, source } from '../../link/latest.ts';
import { startCapture, stopCapture } from '../captures/capture-actions.ts';
import { CaptureRow } from '../captures/capture-row.tsx';
import { CAPTURE_WORDS } from '../captures/capture-words.ts';
import { openView } from '../view.ts';

const SHOWN = 3;

/** Start and stop of captures, and the newest ones. */
export function CapturePanel() {
  const running = runningCapture.value;
  const live = source.value?.link === 'live';
  return (
    <section class="panel captures" aria-labelledby="captures-name">
      <h2 class="panel-name" id="captures-name">
        Captures
      </h2>
      {running === null ? (
        <div class="button-row">
          <button
            type="button"
            data-testid="capture-before"
            disabled={!live}
            onClick={() => startCapture('before')}
          >
            Capture before
          </button>
          <button
            type="button"
            data-testid="capture-after"
            disabled={!live}
            onClick={() => startCapture('after')}
          >
            Capture after
          </button>
        </div>
      ) : (
        <div class="button-row">
          <button
            type="button"
            class="strong"
            data-testid="capture-stop"
            onClick={() => stopCapture(running.id)}
          >
            Stop capture
          </button>
          <p class="recording">
            <span class="recording-mark" aria-hidden="true" />
            {CAPTURE_WORDS[running.label]}, {Math.round(running.durationS)} s
          </p>
        </div>
      )}
      {captures.value.length > 0 && (
        <ul class="capture-list" data-testid="capture-list">
          {captures.value.slice(0, SHOWN).map((capture) => (
            <CaptureRow key={capture.id} capture={capture} />
          ))}
        </ul>
      )}
      {captures.value.length > 1 && (
        <button type="button" class="plain" onClick={() => openView('captures')}>
          Compare before and after
        </button>
      )}
    </section>
  );
}
