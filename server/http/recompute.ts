import type { RecomputedCapture } from '../contract/captures.ts';
import type { CaptureStore } from '../jobs/capture-store.ts';
import { recomputedFigures } from '../session/recompute-capture.ts';

/** The figures of a capture once more, from its raw samples; null for one that is not here. */
export async function recompute(
  captures: CaptureStore,
  id: string,
  softwareVersion: string,
): Promise<RecomputedCapture | null> {
  const header = captures.header(id);
  const stored = captures.get(id);
  if (header === null || stored === null) return null;
  const figures = await recomputedFigures(header, captures.chunks(id), othersTurn);
  if (figures === null) return null;
  const { spreadKpa, spreadExpandedKpa, gapsKpa, idleRpm, roughnessScore } = figures;
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

const othersTurn = () => new Promise<boolean>((done) => setImmediate(done, true));
