import { computed } from '@preact/signals';
import { captures, plannedCapture, runningCapture, source } from '../../link/latest.ts';
import {
  beginCapture,
  CAPTURE_TIMES,
  captureTime,
  dropPlan,
  stopCapture,
} from '../captures/capture-actions.ts';
import { CaptureRow } from '../captures/capture-row.tsx';
import { CAPTURE_WORDS } from '../captures/capture-words.ts';
import { openView } from '../view.ts';
import { PlannedCaptureLine } from './planned-capture-line.tsx';

const SHOWN = 3;
const plannedPhase = computed(() => plannedCapture.value?.phase ?? null);

/** Start and stop of captures, and the newest ones. */
export function CapturePanel() {
  const running = runningCapture.value;
  const live = source.value?.link === 'live';
  const waiting = plannedPhase.value === 'waiting';
  return (
    <section class="panel captures" aria-labelledby="captures-name">
      <h2 class="panel-name" id="captures-name">
        Captures
      </h2>
      {running === null && waiting && (
        <div class="button-row">
          <button type="button" class="strong" data-testid="capture-drop" onClick={dropPlan}>
            Cancel
          </button>
        </div>
      )}
      {running === null && !waiting && (
        <div class="button-row">
          <button
            type="button"
            data-testid="capture-before"
            disabled={!live}
            onClick={() => beginCapture('before')}
          >
            Capture before
          </button>
          <button
            type="button"
            data-testid="capture-after"
            disabled={!live}
            onClick={() => beginCapture('after')}
          >
            Capture after
          </button>
          <label class="field">
            <span>It starts</span>
            <select
              data-testid="capture-time"
              value={captureTime.value}
              onChange={(event) => {
                const { value } = event.currentTarget;
                captureTime.value = CAPTURE_TIMES.find((time) => time.value === value)!.value;
              }}
            >
              {CAPTURE_TIMES.map(({ value, words }) => (
                <option key={value} value={value}>
                  {words}
                </option>
              ))}
            </select>
          </label>
        </div>
      )}
      {running !== null && (
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
      {plannedPhase.value !== null && <PlannedCaptureLine />}
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
