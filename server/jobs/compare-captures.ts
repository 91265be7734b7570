/**
 * Before and after, honestly. Difference d = after - before with standard error
 * s = sqrt(s_before² + s_after²) (GUM, JCGM 100:2008, 5.1.2, uncorrelated), expanded with k = 2. Where both captures
 * were taken with the same calibration its error is the same in both and cancels, so the standard errors of the
 * means alone count; otherwise each capture's own expanded uncertainty does. A difference that is shown, but
 * smaller than the standard deviation of the single cycles, is told as such: the engine varies more by itself.
 */
import { decimalsOf } from '../../calibration/pressure-units.ts';
import { signedText } from '../contract/figure-text.ts';
import type { FigureComparison } from '../contract/jobs-views.ts';
import type { CaptureFigures, CylinderFigures } from './capture-store.ts';

export const COVERAGE_FACTOR = 2;

export interface CaptureComparison {
  /** Vacuum of each cylinder [kPa]. */
  readonly cylinders: readonly FigureComparison[];
  /** Largest minus smallest vacuum [kPa]. */
  readonly spread: FigureComparison;
  /** Our own score, 0 smooth … 100 rough; it has no uncertainty of its own. */
  readonly roughness: FigureComparison;
  /** [r/min]; no uncertainty is kept for it. */
  readonly idleSpeed: FigureComparison;
  readonly sentence: string;
}

/**
 * @param sameCalibration both captures were taken with the same sensors in the same calibration
 */
export function compareCaptures(
  before: CaptureFigures,
  after: CaptureFigures,
  sameCalibration: boolean,
): CaptureComparison {
  const count = Math.max(before.cylinders?.length ?? 0, after.cylinders?.length ?? 0);
  const cylinders = Array.from({ length: count }, (_, index) =>
    compareCylinder(before.cylinders?.[index], after.cylinders?.[index], sameCalibration),
  );
  const spread = compareSpread(before, after);
  return {
    cylinders,
    spread,
    roughness: plainFigure(before.roughnessScore, after.roughnessScore, 'Idle roughness', 0, ''),
    idleSpeed: plainFigure(before.idleRpm, after.idleRpm, 'Idle speed', 0, ' r/min'),
    sentence: spread.sentence,
  };
}

function compareCylinder(
  before: CylinderFigures | undefined,
  after: CylinderFigures | undefined,
  sameCalibration: boolean,
): FigureComparison {
  const from = before?.vacuumKpa ?? null;
  const to = after?.vacuumKpa ?? null;
  const half = (figures: CylinderFigures | undefined) =>
    sameCalibration
      ? times(figures?.vacuumStandardErrorKpa ?? null, COVERAGE_FACTOR)
      : (figures?.vacuumExpandedKpa ?? null);
  const scatter = pooled(before?.vacuumSdKpa ?? null, after?.vacuumSdKpa ?? null);
  return judged(from, to, rootSum(half(before), half(after)), scatter, 'The vacuum');
}

function compareSpread(before: CaptureFigures, after: CaptureFigures): FigureComparison {
  const expanded = rootSum(before.spreadExpandedKpa, after.spreadExpandedKpa);
  return judged(
    before.spreadKpa,
    after.spreadKpa,
    expanded,
    spreadScatter(before, after),
    'The largest difference',
  );
}

/** How much the spread of single cycles varies: two cylinders' scatter together, of those that vary most. */
function spreadScatter(before: CaptureFigures, after: CaptureFigures): number | null {
  const deviations = [...(before.cylinders ?? []), ...(after.cylinders ?? [])]
    .map((cylinder) => cylinder.vacuumSdKpa)
    .filter((sd) => sd !== null);
  return deviations.length === 0 ? null : Math.max(...deviations) * Math.SQRT2;
}

function judged(
  before: number | null,
  after: number | null,
  expanded: number | null,
  scatter: number | null,
  what: string,
): FigureComparison {
  if (before === null || after === null || expanded === null) {
    return { ...blank(before, after), sentence: `${what} was not measured in both captures.` };
  }
  const difference = after - before;
  const size = Math.abs(difference);
  const figures = { before, after, difference, differenceExpanded: expanded };
  const decimals = decimalsOf(expanded);
  const around = `± ${expanded.toFixed(decimals)} kPa`;
  const amount = `${size.toFixed(decimals)} ${around}`;
  if (size <= expanded) {
    return {
      ...figures,
      verdict: 'no-difference-shown',
      sentence: `${what} has not changed as far as can be measured (${signedText(difference, decimals)} ${around}).`,
    };
  }
  const direction = difference < 0 ? 'smaller' : 'larger';
  if (scatter !== null && size <= scatter) {
    return {
      ...figures,
      verdict: 'within-scatter',
      sentence: `${what} is ${direction} by ${amount}, no more than the engine varies by itself from cycle to cycle (${scatter.toFixed(decimals)} kPa).`,
    };
  }
  return { ...figures, verdict: direction, sentence: `${what} is ${direction} by ${amount}.` };
}

function plainFigure(
  before: number | null,
  after: number | null,
  what: string,
  digits: number,
  unit: string,
): FigureComparison {
  if (before === null || after === null) {
    return { ...blank(before, after), sentence: `${what} was not measured in both captures.` };
  }
  const difference = after - before;
  const verdict = difference < 0 ? 'smaller' : difference > 0 ? 'larger' : 'no-difference-shown';
  const figures = { before, after, difference, differenceExpanded: null };
  const sentence = `${what}: ${before.toFixed(digits)} before, ${after.toFixed(digits)}${unit} after.`;
  return { ...figures, verdict, sentence };
}

const blank = (before: number | null, after: number | null) => ({
  before,
  after,
  difference: null,
  differenceExpanded: null,
  verdict: 'not-measured' as const,
});

const times = (value: number | null, factor: number) => (value === null ? null : value * factor);
const rootSum = (a: number | null, b: number | null) => (a === null || b === null ? null : Math.hypot(a, b));
const pooled = (a: number | null, b: number | null) =>
  a === null || b === null ? null : Math.sqrt((a * a + b * b) / 2);
