import { useEffect, useRef } from 'preact/hooks';
import { records } from './record-api.ts';
import { deliveryWords, sharingTrouble } from './sharing-words.ts';
import { useFetched } from './use-fetched.ts';

const LOOK_EVERY_MS = 4000;

/** One paragraph above the jobs while the shared record is out of reach, and nothing otherwise. */
export function SharingTrouble({ onBack }: { onBack: () => void }) {
  const sharing = useSharing();
  const words = sharing === null ? null : sharingTrouble(sharing, Date.now());
  const wasAway = useRef(false);
  useEffect(() => {
    if (wasAway.current && words === null) onBack();
    wasAway.current = words !== null;
  }, [words === null]);
  return (
    <div role="status">
      {words !== null && (
        <p class="entry-problem" data-testid="sharing-trouble">
          {words}
        </p>
      )}
    </div>
  );
}

/** Where the record is that several benches share; nothing where this bench keeps its own. */
export function SharingPart() {
  const sharing = useSharing();
  if (sharing === null || sharing.server === null) return null;
  const words = sharingTrouble(sharing, Date.now());
  return (
    <section class="panel" aria-labelledby="sharing-name" data-testid="sharing">
      <h2 class="panel-name" id="sharing-name">
        Shared record
      </h2>
      {words !== null && <p class="entry-problem">{words}</p>}
      <dl class="facts">
        <div>
          <dt>Server</dt>
          <dd>{sharing.server}</dd>
        </div>
        {words === null && (
          <div>
            <dt>Captures</dt>
            <dd>{deliveryWords(sharing, Date.now())}</dd>
          </div>
        )}
      </dl>
      <p class="field-note">
        Backups made here hold what is on this bench: captures, results of checks, set-up, calibrations. Jobs,
        machines and owners are backed up on the server.
      </p>
    </section>
  );
}

function useSharing() {
  const { value, again } = useFetched(() => records.sharing(), 'sharing');
  // A record of this bench alone stays one for as long as the program runs.
  const alone = value !== null && value.server === null;
  useEffect(() => {
    if (alone) return;
    const timer = setInterval(() => {
      if (document.visibilityState === 'visible') again();
    }, LOOK_EVERY_MS);
    return () => clearInterval(timer);
  }, [alone]);
  return value;
}
