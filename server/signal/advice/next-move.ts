/**
 * Which screw next, which way, about how far: the smallest set of screws that brings all cylinders inside the tolerance
 * by least squares with the effects learned so far, and of that set the one with most to do.
 */
import { inverse, type Matrix } from '../../../calibration/solve-linear.ts';
import { worstGapKpa } from './gap-space.ts';
import { dot } from './gaussian.ts';
import { type ScrewEffect, unitLengthKpa } from './screw-effects.ts';

/** Relative to the person's own last move of that screw; 'either' when none is known. */
export type TurnDirection = 'either' | 'same' | 'back';

export interface NextMove {
  /** Index in the linkage. */
  readonly screw: number;
  readonly direction: TurnDirection;
  /** How far, in last moves of that screw; null for 'a little'. */
  readonly fraction: number | null;
  /** Probability that the direction is right, 0…1; 1 for 'either'. */
  readonly confidence: number;
}

export interface BalanceTask {
  readonly axes: Matrix;
  /** Where the set stands [kPa], with its covariance. */
  readonly z: readonly number[];
  readonly covariance: Matrix;
  readonly reference: number | 'mean';
  readonly toleranceKpa: number;
  readonly effects: readonly ScrewEffect[];
  /** The screw that is being advised already: not changed for a trifle. */
  readonly kept: number | null;
}

/** Cylinders are aimed to stand this far inside [part of the tolerance]. */
const AIM = 0.5;
/** The advised fraction stays below this: from a small move nobody should take a leap. */
const MOST_FRACTION = 6;
/** Moves that a screw costs: one to find out what it does, one to set it, more where there is far to go. */
const FINDING_COST = 1;
const SETTING_COST = 1;
const COST_PER_DOUBLING = 0.3;
/** Cylinders left outside the aim [each time, and per tolerance], and much more for those outside the tolerance. */
const BESIDE_AIM_COST = 3;
const BESIDE_AIM_COST_PER_TOLERANCE = 6;
const OUTSIDE_COST = 50;
const OUTSIDE_COST_PER_TOLERANCE = 50;
/** Another set or screw must be better by so much. */
const KEEPING_DISCOUNT = 0.4;
const KEEPING_SHARE = 0.6;
/** Keeps two screws that do much the same from working against each other. */
const RIDGE = 1e-3;

interface ScrewSet {
  readonly screws: readonly number[];
  /** Shift along each screw's direction [kPa]. */
  readonly shiftsKpa: readonly number[];
  /** Shift = -gain · z. */
  readonly gain: Matrix;
  readonly cost: number;
}

/** The next move, or null when there is nothing to turn that does any good. */
export function planNextMove(task: BalanceTask): NextMove | null {
  const best = bestSet(task);
  if (best === null) return null;
  const sizes = best.shiftsKpa.map(Math.abs);
  let at = sizes.indexOf(Math.max(...sizes));
  const keptAt = task.kept === null ? -1 : best.screws.indexOf(task.kept);
  if (keptAt >= 0 && sizes[keptAt]! >= KEEPING_SHARE * sizes[at]!) at = keptAt;
  const screw = best.screws[at]!;
  const { unit } = task.effects[screw]!;
  if (unit === null) return { screw, direction: 'either', fraction: null, confidence: 1 };
  const shift = best.shiftsKpa[at]!;
  const gain = best.gain[at]!;
  const shiftSd = Math.sqrt(
    Math.max(
      0,
      dot(
        gain,
        task.covariance.map((row) => dot(row, gain)),
      ),
    ),
  );
  const { length, sd } = unitLengthKpa(unit);
  // Least expected square of what is left when the unit itself is not known exactly.
  const fraction = Math.abs(shift) / length / (1 + (sd / length) ** 2);
  return {
    screw,
    direction: shift > 0 ? 'same' : 'back',
    fraction: Math.min(MOST_FRACTION, fraction),
    confidence:
      normalProbability(Math.abs(shift) / Math.hypot(shiftSd, 1e-9)) * normalProbability(length / sd),
  };
}

function bestSet(task: BalanceTask): ScrewSet | null {
  const { effects, z } = task;
  let best: ScrewSet | null = null;
  for (let members = 1; members < 1 << effects.length; members++) {
    const screws = effects.map((_, screw) => screw).filter((screw) => members & (1 << screw));
    if (screws.length > z.length) continue;
    const set = solvedSet(task, screws);
    if (set !== null && (best === null || set.cost < best.cost)) best = set;
  }
  return best;
}

function solvedSet(task: BalanceTask, screws: readonly number[]): ScrewSet | null {
  const { axes, z, reference, toleranceKpa, effects } = task;
  const directions = screws.map((screw) => effects[screw]!.shapes[0]!.direction);
  const normal = directions.map((a, i) => directions.map((b, j) => dot(a, b) + (i === j ? RIDGE : 0)));
  const inverted = inverse(normal);
  if (inverted === null) return null;
  const gain = inverted.map((row) =>
    z.map((_, at) => row.reduce((sum, w, j) => sum + w * directions[j]![at]!, 0)),
  );
  const shiftsKpa = gain.map((row) => -dot(row, z));
  const left = z.map((value, at) =>
    directions.reduce((sum, direction, j) => sum + direction[at]! * shiftsKpa[j]!, value),
  );
  let cost = costOfWhatIsLeft(worstGapKpa(axes, left, reference) / toleranceKpa);
  screws.forEach((screw, at) => {
    cost += SETTING_COST + (effects[screw]!.unit === null ? FINDING_COST : 0);
    cost += COST_PER_DOUBLING * Math.log2(1 + Math.abs(shiftsKpa[at]!) / toleranceKpa);
    if (screw === task.kept) cost -= KEEPING_DISCOUNT;
  });
  return { screws, shiftsKpa, gain, cost };
}

/** @param worst gap that is left, in tolerances */
function costOfWhatIsLeft(worst: number): number {
  const besideAim = worst > AIM ? BESIDE_AIM_COST + BESIDE_AIM_COST_PER_TOLERANCE * (worst - AIM) : 0;
  return worst > 1 ? besideAim + OUTSIDE_COST + OUTSIDE_COST_PER_TOLERANCE * (worst - 1) : besideAim;
}

/** Standard normal probability up to z >= 0; Abramowitz and Stegun 26.2.17, error below 8e-8. */
function normalProbability(z: number): number {
  const t = 1 / (1 + 0.2316419 * z);
  const series =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return 1 - (series * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI);
}
