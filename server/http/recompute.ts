import type { RecomputedCapture } from '../contract/live.ts';
import type { CaptureStore } from '../jobs/capture-store.ts';
import { newInstrument } from '../session/new-instrument.ts';
import { CaptureRecomputation } from '../session/recompute-capture.ts';

/** Chunks between two pauses: an hour's capture must not hold up the live reading. */
const CHUNKS_PER_TURN = 20;

/** The figures of a capture once more, from its raw samples; null for one that is not here. */
export async function recompute(
  captures: CaptureStore,
  id: string,
  softwareVersion: string,
): Promise<RecomputedCapture | null> {
  const header = captures.header(id);
  const stored = captures.get(id);
  if (header === null || stored === null) return null;
  const recomputation = new CaptureRecomputation(header, newInstrument);
  let chunks = 0;
  for (const chunk of captures.chunks(id)) {
    recomputation.push(chunk);
    if (++chunks % CHUNKS_PER_TURN === 0) await new Promise((done) => setImmediate(done));
  }
  const { spreadKpa, spreadExpandedKpa, gapsKpa, idleRpm, roughnessScore } = recomputation.figures();
  return {
    stored,
    softwareVersion,
    spreadKpa,
    spreadExpandedKpa,
    gapsKpa: [...gapsKpa],
    idleRpm,
    roughnessScore,
  };
}
