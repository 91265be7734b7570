/**
 * Steps of an idle's speed that stand out of what it does by itself: from the mean over a stretch before each moment to
 * that over the stretch after it.
 */
import { sdFromMedian } from '../../../calibration/robust-scatter.ts';

/** Stretch of either mean [s]. */
export const HALF_S = 1.5;
/** A step counts from this part of the speed on ... */
const LEAST_STEP = 0.012;
/** ... and this many standard deviations of the steps of a steady idle. */
const STEP_SIGMAS = 4;
/** The steps of a steady idle are those at least so far from any that is believed [s]. */
const CLEAR_S = 2;
const FEWEST_QUIET = 8;
/** A cylinder is enabled again for longer than this [s]: a shorter rise is within one drop. */
const SHORTEST_REST_S = 2.5;
/** Two steps are alike up to this ratio. */
const ALIKE = 3;

export interface SpeedStep {
  readonly atS: number;
  /** Natural logarithm of the speed after over the speed before. */
  readonly step: number;
}

/**
 * All steps that may be some, less the weakest, one by one, until the rest stand out of what the idle does where none is
 * believed to be. To begin with too many are believed and the idle looks quieter than it is; that mends itself.
 */
export function believedSteps(points: readonly SpeedStep[]): SpeedStep[] {
  let steps = extremes(points);
  for (;;) {
    const limit = STEP_SIGMAS * quietSd(points, steps);
    const weakest = steps.reduce<SpeedStep | null>(
      (a, b) => (a !== null && Math.abs(a.step) <= Math.abs(b.step) ? a : b),
      null,
    );
    if (weakest === null || Math.abs(weakest.step) >= limit) return joined(alternating(steps));
    steps = steps.filter((step) => step !== weakest);
  }
}

/** Standard deviation of the steps that lie clear of those believed; infinite while too few do. */
function quietSd(points: readonly SpeedStep[], steps: readonly SpeedStep[]): number {
  for (const clearS of [CLEAR_S, HALF_S]) {
    const quiet = points.filter(({ atS }) => steps.every((step) => Math.abs(step.atS - atS) > clearS));
    if (quiet.length >= FEWEST_QUIET) return sdFromMedian(quiet.map(({ step }) => step));
  }
  return Number.POSITIVE_INFINITY;
}

/** Of neighbours to the same side the stronger stays: a fall is followed by a rise. */
function alternating(steps: readonly SpeedStep[]): SpeedStep[] {
  const out: SpeedStep[] = [];
  for (const step of steps) {
    const last = out.at(-1);
    if (last === undefined || Math.sign(last.step) !== Math.sign(step.step)) out.push(step);
    else if (Math.abs(step.step) > Math.abs(last.step)) out[out.length - 1] = step;
  }
  return out;
}

/** Leaves out a rise and the fall soon after it that takes it back: the idle's own, within one drop. */
function joined(steps: readonly SpeedStep[]): SpeedStep[] {
  const out: SpeedStep[] = [];
  for (const step of steps) {
    const last = out.at(-1);
    const ratio = last === undefined ? 0 : -step.step / last.step;
    const takenBack =
      last !== undefined &&
      last.step > 0 &&
      ratio > 1 / ALIKE &&
      ratio < ALIKE &&
      step.atS - last.atS < SHORTEST_REST_S;
    if (takenBack) out.pop();
    else out.push(step);
  }
  return alternating(out);
}

/** The strongest step of each stretch to one side. */
function extremes(points: readonly SpeedStep[]): SpeedStep[] {
  const found: SpeedStep[] = [];
  for (const point of points) {
    if (Math.abs(point.step) < LEAST_STEP) continue;
    const last = found.at(-1);
    const same = last !== undefined && Math.sign(last.step) === Math.sign(point.step);
    if (same && point.atS - last.atS < 2 * HALF_S) {
      if (Math.abs(point.step) > Math.abs(last.step)) found[found.length - 1] = point;
    } else found.push(point);
  }
  return found;
}
