import { useEffect, useState } from 'preact/hooks';
import { role } from '../../link/access.ts';
import { connection, crowded, serverStartId, source, stale, wrongVersion } from '../../link/latest.ts';
import { notice } from '../../link/notice.ts';
import { frozenAt, toggleFreeze } from '../../link/shown.ts';
import { troubleSentence } from './source-words.ts';

/** Trouble of a moment is not worth a sentence that comes and goes [ms]. */
const SETTLE_MS = 700;
const TIME = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', second: '2-digit' });

/** What has to be known before any figure is believed. */
export function Bands() {
  return (
    <aside aria-label="To know first">
      {source.value?.practice && (
        <p class="band practice-band" data-testid="practice-band">
          <span>Practice bench: simulated engine, not yours</span>
        </p>
      )}
      {role.value === 'view' && (
        <p class="band quiet-band" data-testid="view-only-band">
          <span>View only: changes are made on the instrument.</span>
        </p>
      )}
      <TroubleBand />
      {frozenAt.value !== null && (
        <p class="band frozen-band" data-testid="frozen-band">
          <span>Frozen at {TIME.format(frozenAt.value)}. The engine may have changed since.</span>
          <button type="button" onClick={toggleFreeze}>
            Go on
          </button>
        </p>
      )}
      {wrongVersion.value && (
        <p class="band trouble-band">
          <span>This page is of another version than the program.</span>
          <button type="button" onClick={() => location.reload()}>
            Load the page again
          </button>
        </p>
      )}
      <div role="alert">
        {notice.value !== null && (
          <p class="band trouble-band" data-testid="notice" data-code={notice.value.code}>
            <span>
              {notice.value.message} {notice.value.whatToDo}
            </span>
            <button
              type="button"
              onClick={() => {
                notice.value = null;
              }}
            >
              OK
            </button>
          </p>
        )}
      </div>
    </aside>
  );
}

function TroubleBand() {
  const trouble = troubleSentence({
    connection: connection.value,
    everConnected: serverStartId.value !== null,
    crowded: crowded.value,
    source: source.value,
    stale: stale.value,
  });
  const code = trouble?.code ?? null;
  const [settled, setSettled] = useState<string | null>(null);
  useEffect(() => {
    if (code === null) {
      setSettled(null);
      return;
    }
    const timer = setTimeout(() => setSettled(code), SETTLE_MS);
    return () => clearTimeout(timer);
  }, [code]);
  if (trouble === null || settled === null) return null;
  // Measuring goes on, if only the practice engine: said, but not shouted.
  const quiet = connection.value === 'open' && source.value?.link === 'live' && !stale.value;
  return (
    <p class={quiet ? 'band quiet-band' : 'band trouble-band'} data-testid="trouble" data-code={trouble.code}>
      <span>{trouble.sentence}</span>
    </p>
  );
}
