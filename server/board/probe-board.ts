import type { IdentityLine } from '../../firmware-protocol/lines.ts';
import type { Clock } from '../clock.ts';
import type { ErrorCode } from '../error-catalogue.ts';
import type { ByteSource } from './byte-source.ts';
import { LinkRunner } from './link-runner.ts';

export type ProbeResult =
  | { readonly ok: true; readonly identity: IdentityLine }
  | { readonly ok: false; readonly code: ErrorCode };

/**
 * Opens a source and waits for a board to say what it is; the source is free again when the promise resolves.
 * Does not reject, and takes no longer than the patience and the time to close.
 */
export async function probeBoard(
  source: ByteSource,
  clock: Clock,
  patienceMs: number,
  signal: AbortSignal,
): Promise<ProbeResult> {
  let settle: (result: ProbeResult) => void = () => {};
  const answer = new Promise<ProbeResult>((resolve) => {
    settle = resolve;
  });
  const runner = new LinkRunner(
    source,
    {
      onLinkState(state) {
        if (state.phase !== 'lost' && state.phase !== 'ended' && state.phase !== 'refused') return;
        settle({ ok: false, code: state.errorCode ?? 'board-silent' });
      },
      onIdentified: (identity) => settle({ ok: true, identity }),
      onSample() {},
      onAmbient() {},
      onNotice() {},
      onBreak() {},
      onCount() {},
      onTrouble() {},
    },
    clock,
  );
  const cancel = clock.after(patienceMs, () => {
    settle({ ok: false, code: runner.state.errorCode ?? 'board-silent' });
  });
  const abort = () => settle({ ok: false, code: 'board-silent' });
  signal.addEventListener('abort', abort, { once: true });
  if (signal.aborted) abort();
  else runner.start();
  const result = await answer;
  signal.removeEventListener('abort', abort);
  cancel();
  await runner.stop();
  return result;
}
