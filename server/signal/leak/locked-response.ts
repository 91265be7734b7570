/**
 * How far a series of cycles answers to actions at known times, with serial correlation allowed for.
 *
 * The series is laid on slow drift and one column per action, with errors that are the sum of white scatter and of a
 * wander that is first-order autoregressive over cycles. How much wander, and how slow, is not known: the generalised
 * least squares are done for every pair on a grid, each pair weighted by its restricted likelihood (Patterson and
 * Thompson, Biometrika 58, 545 (1971); the likelihood by Kalman's filter, as in Harvey, Forecasting, Structural Time
 * Series Models and the Kalman Filter, 1989, section 3.4), so the standard error knows that the wander is uncertain.
 *
 * Single cycles that stand far off, such as a missed firing, are first drawn in to a bound, so that one pop does not
 * make a response.
 */
import { sdFromMedian } from '../../../calibration/robust-scatter.ts';
import { inverse } from '../../../calibration/solve-linear.ts';

export interface LockedResponse {
  /** One per action, in the unit of the series. */
  readonly size: readonly number[];
  readonly standardError: readonly number[];
  /** Degrees of freedom of the residuals. */
  readonly freedom: number;
  /** Share of the wander in the variance of the series, 0…1, and its correlation from cycle to cycle: weighted means. */
  readonly wanderShare: number;
  readonly wanderCorrelation: number;
}

/** Correlations of the wander and shares of the variance that are tried. */
const CORRELATIONS = [0.5, 0.75, 0.85, 0.91, 0.95, 0.975, 0.99];
const SHARES = [0.03, 0.08, 0.16, 0.3, 0.5, 0.75, 1];
/** Residuals are drawn in to this many robust standard deviations. */
const WINSOR = 3.5;
/** Of drift: one degree of the polynomial per so long [s], at most that many. */
const DRIFT_S = 40;
const MOST_DEGREE = 6;
const FEWEST_CYCLES = 30;
/** A grid point this much less likely than the best is left out [natural log]. */
const NEGLIGIBLE = 8;
/** Lags over which correlation may be left. */
const LEFT_LAGS = 2;

/**
 * @param timeS middle of each cycle, rising [s]
 * @param values finite, as many
 * @param columns shape of each action's response at each cycle, 0…1
 * @returns null when there are too few cycles for so many unknowns, or an action falls on none
 */
export function lockedResponse(
  timeS: readonly number[],
  values: readonly number[],
  columns: readonly (readonly number[])[],
): LockedResponse | null {
  const design = [...columns, ...driftColumns(timeS)];
  const n = values.length;
  const freedom = n - design.length;
  if (n < FEWEST_CYCLES || n < 2 * design.length) return null;
  const plain = leastSquares([...design, values], 0);
  if (plain === null) return null;
  const target = winsorised(values, design, plain.beta);
  if (target === null) return null;
  const points = CORRELATIONS.flatMap((rho) =>
    SHARES.flatMap((share) => {
      const white = whitened([...design, target], rho, share);
      const fit = leastSquares(white.columns, white.logVariances);
      if (fit === null) return [];
      return [{ fit, rho, share, stretch: leftStretch(white.columns, fit.beta) }];
    }),
  );
  if (points.length === 0) return null;
  const best = Math.max(...points.map(({ fit }) => fit.logLikelihood));
  const likely = points
    .map((point) => ({ ...point, weight: Math.exp(point.fit.logLikelihood - best) }))
    .filter(({ weight }) => weight > Math.exp(-NEGLIGIBLE));
  const total = likely.reduce((sum, { weight }) => sum + weight, 0);
  const mean = (of: (point: (typeof likely)[number]) => number): number =>
    likely.reduce((sum, point) => sum + point.weight * of(point), 0) / total;
  const size = columns.map((_, at) => mean(({ fit }) => fit.beta[at]!));
  const standardError = size.map((value, at) =>
    Math.sqrt(
      mean(
        ({ fit, stretch }) =>
          (stretch * fit.squares * fit.covariance[at]![at]!) / freedom + (fit.beta[at]! - value) ** 2,
      ),
    ),
  );
  if (!standardError.every((se) => se > 0)) return null;
  return {
    size,
    standardError,
    freedom,
    wanderShare: mean(({ share }) => share),
    wanderCorrelation: mean(({ rho }) => rho),
  };
}

/** Legendre polynomials over the span, so that columns stay apart. */
function driftColumns(timeS: readonly number[]): number[][] {
  const first = timeS[0]!;
  const spanS = timeS.at(-1)! - first;
  const degree = Math.max(1, Math.min(MOST_DEGREE, Math.round(spanS / DRIFT_S)));
  const x = timeS.map((t) => (2 * (t - first)) / spanS - 1);
  const columns = [x.map(() => 1), x];
  for (let k = 2; k <= degree; k++) {
    const [two, one] = [columns[k - 2]!, columns[k - 1]!];
    columns.push(x.map((at, i) => ((2 * k - 1) * at * one[i]! - (k - 1) * two[i]!) / k));
  }
  return columns;
}

/**
 * Innovations of Kalman's filter for white scatter of variance 1 - share plus a wander of variance share, over their
 * standard deviations: uncorrelated and of equal variance.
 */
function whitened(
  columns: readonly (readonly number[])[],
  rho: number,
  share: number,
): { columns: number[][]; logVariances: number } {
  const n = columns[0]!.length;
  const states = new Float64Array(columns.length);
  const out = columns.map(() => new Array<number>(n));
  let wander = share;
  let logVariances = 0;
  for (let i = 0; i < n; i++) {
    const variance = wander + 1 - share;
    const gain = wander / variance;
    const scale = 1 / Math.sqrt(variance);
    logVariances += Math.log(variance);
    for (let c = 0; c < columns.length; c++) {
      const innovation = columns[c]![i]! - states[c]!;
      out[c]![i] = innovation * scale;
      states[c] = rho * (states[c]! + gain * innovation);
    }
    wander = rho * rho * wander * (1 - gain) + (1 - rho * rho) * share;
  }
  return { columns: out, logVariances };
}

interface Fit {
  readonly beta: number[];
  readonly covariance: number[][];
  readonly squares: number;
  /** Restricted, but for a constant. */
  readonly logLikelihood: number;
}

/** @param columns the design's and, last, the values */
function leastSquares(columns: readonly (readonly number[])[], logVariances: number): Fit | null {
  const design = columns.slice(0, -1);
  const values = columns.at(-1)!;
  const normal = design.map((a) => design.map((b) => dot(a, b)));
  const inverted = inverse(normal);
  if (inverted === null) return null;
  const right = design.map((column) => dot(column, values));
  const beta = inverted.map((row) => dot(row, right));
  const squares = Math.max(0, dot(values, values) - dot(beta, right));
  const freedom = values.length - design.length;
  const logLikelihood = -0.5 * (logVariances + logDeterminant(normal) + freedom * Math.log(squares));
  return { beta, covariance: inverted, squares, logLikelihood };
}

/**
 * What the model leaves of correlation between neighbours widens the variance of a response by 1 + 2 Σ ρ (Andrews and
 * Monahan, Econometrica 60, 953 (1992): whiten first, then allow for the rest); it never narrows it.
 */
function leftStretch(columns: readonly (readonly number[])[], beta: readonly number[]): number {
  const values = columns.at(-1)!;
  const left = values.map((value, i) => value - beta.reduce((sum, b, j) => sum + b * columns[j]![i]!, 0));
  let squares = 0;
  let products = 0;
  for (let i = 0; i < left.length; i++) {
    squares += left[i]! ** 2;
    for (let lag = 1; lag <= LEFT_LAGS && lag <= i; lag++) products += left[i]! * left[i - lag]!;
  }
  return Math.max(1, 1 + (2 * products) / squares);
}

function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** Of a symmetric positive definite matrix, by Cholesky's factors. */
function logDeterminant(matrix: readonly (readonly number[])[]): number {
  const n = matrix.length;
  const lower = matrix.map((row) => row.slice());
  let log = 0;
  for (let j = 0; j < n; j++) {
    let pivot = lower[j]![j]!;
    for (let k = 0; k < j; k++) pivot -= lower[j]![k]! ** 2;
    if (!(pivot > 0)) return Number.POSITIVE_INFINITY;
    const root = Math.sqrt(pivot);
    lower[j]![j] = root;
    log += 2 * Math.log(root);
    for (let i = j + 1; i < n; i++) {
      let value = matrix[i]![j]!;
      for (let k = 0; k < j; k++) value -= lower[i]![k]! * lower[j]![k]!;
      lower[i]![j] = value / root;
    }
  }
  return log;
}

function winsorised(
  values: readonly number[],
  design: readonly (readonly number[])[],
  beta: readonly number[],
): number[] | null {
  const fitted = values.map((_, i) => beta.reduce((sum, b, j) => sum + b * design[j]![i]!, 0));
  const bound = WINSOR * sdFromMedian(values.map((value, i) => value - fitted[i]!));
  if (!(bound > 0)) return null;
  return values.map((value, i) => fitted[i]! + Math.max(-bound, Math.min(bound, value - fitted[i]!)));
}
