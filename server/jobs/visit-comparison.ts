import type { CaptureSummary } from '../contract/captures.ts';
import type { CaptureFigures } from './capture-store.ts';
import { type CaptureComparison, compareCaptures } from './compare-captures.ts';
import type { JobCaptures } from './job-captures.ts';

export interface VisitComparison extends CaptureComparison {
  readonly before: CaptureSummary;
  readonly after: CaptureSummary;
  readonly beforeFigures: CaptureFigures;
  readonly afterFigures: CaptureFigures;
}

/**
 * The visit's first capture marked before against its last marked after, or the two that are named.
 * @returns null where there is no such pair with figures
 */
export async function visitComparison(
  captures: JobCaptures,
  visitId: string,
  chosen: { readonly before?: string; readonly after?: string } = {},
): Promise<VisitComparison | null> {
  const usable: CaptureSummary[] = [];
  const figures = new Map<string, CaptureFigures>();
  for (const capture of await captures.listForVisit(visitId)) {
    const found = capture.state === 'recording' ? null : await captures.figures(capture.id);
    if (found === null) continue;
    usable.push(capture);
    figures.set(capture.id, found);
  }
  const named = (id: string) => usable.find((capture) => capture.id === id);
  const before =
    chosen.before === undefined ? usable.find((capture) => capture.label === 'before') : named(chosen.before);
  const after =
    chosen.after === undefined
      ? usable.findLast((capture) => capture.label === 'after')
      : named(chosen.after);
  if (before === undefined || after === undefined) return null;
  const beforeFigures = figures.get(before.id)!;
  const afterFigures = figures.get(after.id)!;
  const same = (await sensorsOf(captures, before.id)) === (await sensorsOf(captures, after.id));
  return {
    before,
    after,
    beforeFigures,
    afterFigures,
    ...compareCaptures(beforeFigures, afterFigures, same),
  };
}

/** Board, sensors and calibration as one word, the same for two captures where their errors are the same. */
async function sensorsOf(captures: JobCaptures, id: string): Promise<string> {
  const header = await captures.header(id);
  // How warm the sensors were is no other calibration.
  const withoutTemperature = (key: string, value: unknown) => (key === 'temperatureCelsius' ? null : value);
  return JSON.stringify([header?.boardId, header?.sensorTypes, header?.calibration], withoutTemperature);
}
