import type { CaptureSummary } from './contract/captures.ts';
import type { CaptureRecords } from './jobs/capture-records.ts';
import { recomputedFigures } from './session/recompute-capture.ts';

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
      const figures = await recomputedFigures(header, captures.chunks(id), pause);
      if (figures === null) return;
      const summary = captures.fillFigures(id, figures);
      if (summary !== null) onRecovered(summary);
    } catch (error) {
      onTrouble(id, error);
    }
  }
}

/** The same beside everything else. @returns what ends the work; the next start takes it up again */
export function recoverInBackground(
  captures: CaptureRecords,
  onRecovered: (summary: CaptureSummary) => void,
  onTrouble: (error: unknown) => void,
): () => Promise<void> {
  let stopped = false;
  const pause = async () => {
    await new Promise((resolve) => setImmediate(resolve));
    return !stopped;
  };
  const work = recoverCaptures(captures, pause, onRecovered, (_id, error) => onTrouble(error)).catch(
    onTrouble,
  );
  return () => {
    stopped = true;
    return work;
  };
}
