/**
 * Best straight line with errors in both variables.
 *
 * D. York, Canadian Journal of Physics 44 (1966) 1079; unified equations and standard errors of D. York, N. M. Evensen,
 * M. López Martínez and J. De Basabe Delgado, American Journal of Physics 72 (2004) 367, equations 13. Equal
 * uncertainties of one kind give Deming's line.
 */
import type { LineCovariance } from './linear-regression.ts';

export interface YorkPoint {
  readonly x: number;
  readonly y: number;
  /** Standard uncertainties, not both 0. */
  readonly ux: number;
  readonly uy: number;
  /** Correlation of the two errors, -1…1; 0 when left out. */
  readonly correlation?: number;
}

export interface YorkFit {
  readonly intercept: number;
  readonly slope: number;
  /** From the stated uncertainties alone: multiply by `reducedChiSquare` to let the residuals speak. */
  readonly covariance: LineCovariance;
  /** Σ W (y - a - b x)² / (n - 2); about 1 when the stated uncertainties are right. Null for two points. */
  readonly reducedChiSquare: number | null;
  readonly degreesOfFreedom: number;
  /** y - intercept - slope x of each point. */
  readonly residuals: readonly number[];
}

const MOST_ROUNDS = 200;
const CLOSE = 1e-15;

/**
 * @param points at least 2 with different x
 * @returns the line, or null where the rounds do not settle (a cloud without a direction)
 * @throws RangeError for fewer than two points, equal x, or a point without uncertainty
 */
export function fitYork(points: readonly YorkPoint[]): YorkFit | null {
  if (points.length < 2) throw new RangeError(`A line needs at least 2 points, not ${points.length}`);
  if (points.some(({ ux, uy }) => !(ux >= 0 && uy >= 0 && ux + uy > 0)))
    throw new RangeError('Every point needs a standard uncertainty in x or in y');
  let slope = plainSlope(points);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const at = centred(points, slope);
    let top = 0;
    let bottom = 0;
    for (const { weight, beta, u, v } of at.points) {
      top += weight * beta * v;
      bottom += weight * beta * u;
    }
    const next = top / bottom;
    if (!Number.isFinite(next)) return null;
    const settled = Math.abs(next - slope) <= CLOSE * Math.max(1, Math.abs(next));
    slope = next;
    if (settled) break;
    if (round === MOST_ROUNDS - 1) return null;
  }
  const at = centred(points, slope);
  const intercept = at.meanY - slope * at.meanX;
  let total = 0;
  let adjusted = 0;
  for (const { weight, beta } of at.points) {
    total += weight;
    adjusted += weight * (at.meanX + beta);
  }
  const meanAdjusted = adjusted / total;
  let spread = 0;
  let chiSquare = 0;
  for (const { weight, beta, u, v } of at.points) {
    spread += weight * (at.meanX + beta - meanAdjusted) ** 2;
    chiSquare += weight * (v - slope * u) ** 2;
  }
  const slopeVariance = 1 / spread;
  const degreesOfFreedom = points.length - 2;
  return {
    intercept,
    slope,
    covariance: {
      intercept: 1 / total + meanAdjusted ** 2 * slopeVariance,
      slope: slopeVariance,
      interceptSlope: -meanAdjusted * slopeVariance,
    },
    reducedChiSquare: degreesOfFreedom > 0 ? chiSquare / degreesOfFreedom : null,
    degreesOfFreedom,
    residuals: at.points.map(({ u, v }) => v - slope * u),
  };
}

interface Centred {
  readonly meanX: number;
  readonly meanY: number;
  readonly points: readonly { weight: number; beta: number; u: number; v: number }[];
}

/** Weights and adjusted points of York's equations for a trial slope. */
function centred(points: readonly YorkPoint[], slope: number): Centred {
  const weights = points.map(
    ({ ux, uy, correlation = 0 }) => 1 / (uy ** 2 + slope ** 2 * ux ** 2 - 2 * slope * correlation * ux * uy),
  );
  let total = 0;
  let sumX = 0;
  let sumY = 0;
  points.forEach(({ x, y }, index) => {
    total += weights[index]!;
    sumX += weights[index]! * x;
    sumY += weights[index]! * y;
  });
  const meanX = sumX / total;
  const meanY = sumY / total;
  return {
    meanX,
    meanY,
    points: points.map(({ x, y, ux, uy, correlation = 0 }, index) => {
      const weight = weights[index]!;
      const u = x - meanX;
      const v = y - meanY;
      const cross = correlation * ux * uy;
      const beta = weight * (u * uy ** 2 + slope * v * ux ** 2 - (slope * u + v) * cross);
      return { weight, beta, u, v };
    }),
  };
}

function plainSlope(points: readonly YorkPoint[]): number {
  const meanX = points.reduce((sum, { x }) => sum + x, 0) / points.length;
  const meanY = points.reduce((sum, { y }) => sum + y, 0) / points.length;
  let xx = 0;
  let xy = 0;
  for (const { x, y } of points) {
    xx += (x - meanX) ** 2;
    xy += (x - meanX) * (y - meanY);
  }
  if (!(xx > 0)) throw new RangeError('A line needs two different x');
  return xy / xx;
}
