import { useState } from 'preact/hooks';
import type { CaptureSummary, RecomputedCapture } from '../../../server/contract/captures.ts';
import { api } from '../../link/api.ts';
import { tell } from '../../link/notice.ts';
import { recomputedWords } from './recomputed-words.ts';

/** Which version worked the figures out, and what this one makes of the same samples. */
export function WorkedOut({ capture }: { capture: CaptureSummary }) {
  const [again, setAgain] = useState<RecomputedCapture | null>(null);
  const [busy, setBusy] = useState(false);
  const ask = async () => {
    setBusy(true);
    const answer = await tell(api.recomputed(capture.id));
    setBusy(false);
    if (answer.ok) setAgain(answer.value);
  };
  if (capture.state === 'recording') return null;
  return again === null ? (
    <>
      {capture.softwareVersion}{' '}
      <button type="button" class="plain" disabled={busy} onClick={ask}>
        {busy ? 'Working' : 'Work out again'}
      </button>
    </>
  ) : (
    <span role="status">{recomputedWords(again)}</span>
  );
}
