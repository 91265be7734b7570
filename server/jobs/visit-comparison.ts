import type { CaptureSummary } from '../contract/live.ts';
import type { CaptureRecords } from './capture-records.ts';
import type { CaptureFigures } from './capture-store.ts';
import { type CaptureComparison, compareCaptures } from './compare-captures.ts';

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
export function visitComparison(
  captures: CaptureRecords,
  visitId: string,
  chosen: { readonly before?: string; readonly after?: string } = {},
): VisitComparison | null {
  const usable = captures
    .listForVisit(visitId)
    .filter((capture) => capture.state !== 'recording' && captures.figures(capture.id) !== null);
  const named = (id: string) => usable.find((capture) => capture.id === id);
  const before =
    chosen.before === undefined ? usable.find((capture) => capture.label === 'before') : named(chosen.before);
  const after =
    chosen.after === undefined
      ? usable.findLast((capture) => capture.label === 'after')
      : named(chosen.after);
  if (before === undefined || after === undefined) return null;
  const beforeFigures = captures.figures(before.id)!;
  const afterFigures = captures.figures(after.id)!;
  const same = sensorsOf(captures, before.id) === sensorsOf(captures, after.id);
  return {
    before,
    after,
    beforeFigures,
    afterFigures,
    ...compareCaptures(beforeFigures, afterFigures, same),
  };
}

/** Board, sensors and calibration as one word, the same for two captures where their errors are the same. */
function sensorsOf(captures: CaptureRecords, id: string): string {
  const header = captures.header(id);
  // How warm the sensors were is no other calibration.
  const withoutTemperature = (key: string, value: unknown) => (key === 'temperatureCelsius' ? null : value);
  return JSON.stringify([header?.boardId, header?.sensorTypes, header?.calibration], withoutTemperature);
}
