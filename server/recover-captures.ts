import type { CaptureSummary } from './contract/live.ts';
import type { CaptureRecords } from './jobs/capture-records.ts';
import { newInstrument } from './session/new-instrument.ts';
import { CaptureRecomputation } from './session/recompute-capture.ts';

/** Chunks between two pauses: an hour's capture must not hold up the live reading. */
const CHUNKS_PER_TURN = 20;

/**
 * Gives captures that a power cut left without figures the figures of what is on disk.
 * @param pause lets everything else have its turn; false ends the work, the next start takes it up again
 */
export async function recoverCaptures(
  captures: CaptureRecords,
  pause: () => Promise<boolean>,
  onRecovered: (summary: CaptureSummary) => void,
  onTrouble: (id: string, error: unknown) => void = () => {},
): Promise<void> {
  for (const { id, state, samples } of captures.list()) {
    if (state !== 'interrupted' || samples === 0 || captures.figures(id) !== null) continue;
    const header = captures.header(id);
    if (header === null) continue;
    // What came in with an import may hold what cannot be computed; the others still get their figures.
    try {
      const recomputation = new CaptureRecomputation(header, newInstrument);
      let chunks = 0;
      for (const chunk of captures.chunks(id)) {
        recomputation.push(chunk);
        if (++chunks % CHUNKS_PER_TURN === 0 && !(await pause())) return;
      }
      const summary = captures.fillFigures(id, recomputation.figures());
      if (summary !== null) onRecovered(summary);
    } catch (error) {
      onTrouble(id, error);
    }
  }
}
