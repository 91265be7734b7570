/**
 * The balance of a set as a point in a space of one dimension less than it has cylinders: what is common to all
 * cylinders is left out, so that it does not matter which one is the reference. The axes are Helmert's contrasts
 * (H. O. Lancaster, The Helmert matrices, American Mathematical Monthly 72, 1965), which are orthonormal: an
 * uncertainty that is the same for every cylinder is the same in every direction.
 */
import { bilinear, type Matrix, sandwich } from '../../../calibration/solve-linear.ts';
import { COVERAGE_FACTOR } from '../../../calibration/uncertainty.ts';
import type { Reading } from '../reading.ts';

export interface EngineSpeed {
  /** Over the last moments [r/min]; null when the engine does not run. */
  readonly rpm: number | null;
  /** Where it stands still, or has last stood still since the balance moved; null where it has not. */
  readonly steadyRpm: number | null;
}

/** How the cylinders stand to each other at one time. */
export interface Balance {
  readonly timeS: number;
  /** Cycles behind it. */
  readonly cycles: number;
  /** Coordinates [kPa], one fewer than cylinders. */
  readonly z: readonly number[];
  /** Their covariance [kPa²], without what the calibration adds. */
  readonly covariance: Matrix;
  readonly speed: EngineSpeed;
}

/** Least standard uncertainty of a cylinder's mean [kPa]: idles wander. */
const LEAST_UNCERTAINTY_KPA = 0.02;

/** Rows are the axes, n - 1 of n values. */
export function helmertAxes(cylinders: number): number[][] {
  return Array.from({ length: cylinders - 1 }, (_, row) => {
    const k = row + 1;
    const scale = 1 / Math.sqrt(k * (k + 1));
    return Array.from({ length: cylinders }, (_, cyl) => (cyl < k ? scale : cyl === k ? -k * scale : 0));
  });
}

/** Coordinates of one value per cylinder. */
export function toSpace(axes: Matrix, perCylinder: readonly number[]): number[] {
  return axes.map((axis) => axis.reduce((sum, weight, cyl) => sum + weight * perCylinder[cyl]!, 0));
}

/** Difference of each cylinder to the mean of all. */
export function fromSpace(axes: Matrix, z: readonly number[]): number[] {
  const cylinders = axes.length + 1;
  return Array.from({ length: cylinders }, (_, cyl) =>
    axes.reduce((sum, axis, row) => sum + axis[cyl]! * z[row]!, 0),
  );
}

/** Furthest cylinder from the reference [kPa], when the set stands at z. */
export function worstGapKpa(axes: Matrix, z: readonly number[], reference: number | 'mean'): number {
  const gaps = fromSpace(axes, z);
  const zero = reference === 'mean' ? 0 : gaps[reference]!;
  return Math.max(...gaps.map((gap) => Math.abs(gap - zero)));
}

/** Each cylinder's gap to the reference with its expanded uncertainty (k = 2), calibration included [kPa]. */
export function gapsOf(
  axes: Matrix,
  { z, covariance }: Pick<Balance, 'z' | 'covariance'>,
  reference: number | 'mean',
  calibrationKpa: readonly number[],
): { readonly gapKpa: number; readonly expandedKpa: number }[] {
  return Array.from({ length: axes.length + 1 }, (_, cyl) => {
    const contrast = axes.map((axis) => axis[cyl]! - (reference === 'mean' ? 0 : axis[reference]!));
    const gapKpa = contrast.reduce((sum, weight, axis) => sum + weight * z[axis]!, 0);
    const standard = Math.sqrt(Math.max(0, bilinear(contrast, covariance, contrast)));
    const isReference = cyl === reference;
    return {
      gapKpa,
      expandedKpa: isReference ? 0 : COVERAGE_FACTOR * Math.hypot(standard, calibrationKpa[cyl] ?? 0),
    };
  });
}

/**
 * The balance that a reading shows, or null when a cylinder's gap is not known.
 *
 * @param reference of the reading's gaps
 * @param calibrationKpa standard uncertainty of each gap from the calibration: it is in the reading's figure, but
 *   cancels in a change
 */
export function balanceOf(
  reading: Reading,
  axes: Matrix,
  reference: number | 'mean',
  calibrationKpa: readonly number[],
  speed: EngineSpeed,
): Balance | null {
  const { cylinders, timeS } = reading;
  if (timeS === null || cylinders.length !== axes.length + 1) return null;
  const gaps: number[] = [];
  const variances: number[] = [];
  for (const [cyl, { gapKpa, gapExpandedKpa }] of cylinders.entries()) {
    if (gapKpa === null || gapExpandedKpa === null) return null;
    if (!Number.isFinite(gapKpa) || !Number.isFinite(gapExpandedKpa)) return null;
    gaps.push(gapKpa);
    variances.push(Math.max(0, (gapExpandedKpa / COVERAGE_FACTOR) ** 2 - (calibrationKpa[cyl] ?? 0) ** 2));
  }
  const own = ownVariances(variances, reference);
  const diagonal = own.map((variance, cyl) => own.map((_, other) => (cyl === other ? variance : 0)));
  return {
    timeS,
    cycles: Math.min(...cylinders.map((one) => one.cycles)),
    z: toSpace(axes, gaps),
    covariance: sandwich(axes, diagonal),
    speed,
  };
}

/** Variance of each cylinder's own mean, from those of the differences to the reference. */
function ownVariances(gapVariances: readonly number[], reference: number | 'mean'): number[] {
  const n = gapVariances.length;
  const floor = LEAST_UNCERTAINTY_KPA ** 2;
  if (reference === 'mean') {
    const ofAll = (gapVariances.reduce((sum, variance) => sum + variance, 0) * n) / (n - 1);
    if (n === 2) return gapVariances.map(() => ofAll / 2 + floor);
    return gapVariances.map((variance) => Math.max(0, (variance - ofAll / (n * n)) / (1 - 2 / n)) + floor);
  }
  // How much of it is the reference's own cannot be told: half of the least.
  const ofReference = Math.min(...gapVariances.filter((_, cyl) => cyl !== reference)) / 2;
  return gapVariances.map(
    (variance, cyl) => (cyl === reference ? ofReference : Math.max(0, variance - ofReference)) + floor,
  );
}
