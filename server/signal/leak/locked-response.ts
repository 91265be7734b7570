/**
 * How far a series of cycles answers to actions at known times, with serial correlation allowed for.
 *
 * Generalised least squares with autoregressive errors: the series is laid on slow drift and one column per action,
 * the residuals are fitted with an autoregressive model (Yule-Walker, order by AICc), series and columns are filtered
 * with it, and the fit is repeated until it stands (Cochrane and Orcutt, Journal of the American Statistical
 * Association 44, 32 (1949), for any order). Single cycles that stand far off, such as a missed firing, are drawn in
 * to a bound first (Huber's winsorising), so that one pop does not make a response.
 */
import { inverse } from '../../../calibration/solve-linear.ts';

export interface LockedResponse {
  /** One per action, in the unit of the series. */
  readonly size: readonly number[];
  readonly standardError: readonly number[];
  /** Degrees of freedom of the residuals, in values that count as independent. */
  readonly freedom: number;
}

const MOST_ORDER = 6;
const ROUNDS = 3;
/** Residuals are drawn in to this many robust standard deviations. */
const WINSOR = 3.5;
/** Of drift: one degree of the polynomial per so long [s], at most that many. */
const DRIFT_S = 25;
const MOST_DEGREE = 6;

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
  const drift = driftColumns(timeS);
  const design = [...columns, ...drift];
  const unknowns = design.length;
  const n = values.length;
  if (n < 3 * unknowns || n < 20) return null;
  let target = values.slice();
  let phi: number[] = [];
  let fit = leastSquares(target, design);
  for (let round = 0; round < ROUNDS && fit !== null; round++) {
    const residuals = residualsOf(values, design, fit.beta);
    target = winsorised(values, residuals);
    const drawn = residualsOf(target, design, fit.beta);
    phi = autoregression(drawn, unknowns);
    fit = leastSquares(
      filtered(target, phi),
      design.map((column) => filtered(column, phi)),
    );
  }
  if (fit === null) return null;
  const freedom = n - phi.length - unknowns;
  const size = fit.beta.slice(0, columns.length);
  const standardError = size.map((_, at) => Math.sqrt((fit.squares / freedom) * fit.covariance[at]![at]!));
  if (!standardError.every((se) => se > 0)) return null;
  return { size, standardError, freedom };
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

interface Fit {
  readonly beta: number[];
  readonly covariance: number[][];
  readonly squares: number;
}

function leastSquares(values: readonly number[], design: readonly (readonly number[])[]): Fit | null {
  const normal = design.map((a) => design.map((b) => dot(a, b)));
  const covariance = inverse(normal);
  if (covariance === null) return null;
  const right = design.map((column) => dot(column, values));
  const beta = covariance.map((row) => dot(row, right));
  const squares = residualsOf(values, design, beta).reduce((sum, r) => sum + r * r, 0);
  return { beta, covariance, squares };
}

function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

function residualsOf(
  values: readonly number[],
  design: readonly (readonly number[])[],
  beta: readonly number[],
): number[] {
  return values.map((value, i) => {
    let fitted = 0;
    for (let j = 0; j < design.length; j++) fitted += beta[j]! * design[j]![i]!;
    return value - fitted;
  });
}

function winsorised(values: readonly number[], residuals: readonly number[]): number[] {
  const sizes = residuals.map(Math.abs).sort((a, b) => a - b);
  const bound = (WINSOR * sizes[sizes.length >> 1]!) / 0.6745;
  return values.map((value, i) => value - residuals[i]! + Math.max(-bound, Math.min(bound, residuals[i]!)));
}

function filtered(values: readonly number[], phi: readonly number[]): number[] {
  const order = phi.length;
  const out: number[] = [];
  for (let i = order; i < values.length; i++) {
    let value = values[i]!;
    for (let lag = 1; lag <= order; lag++) value -= phi[lag - 1]! * values[i - lag]!;
    out.push(value);
  }
  return out;
}

/**
 * Levinson's recursion over rising orders; the one with the least AICc. Residuals of a fit with many unknowns are
 * less correlated than the errors: each autocorrelation is short of its truth by about the share of the unknowns.
 */
function autoregression(residuals: readonly number[], unknowns: number): number[] {
  const n = residuals.length;
  const rho: number[] = [];
  for (let lag = 0; lag <= MOST_ORDER; lag++) {
    let sum = 0;
    for (let i = lag; i < n; i++) sum += residuals[i]! * residuals[i - lag]!;
    rho.push(sum / n);
  }
  const variance = rho[0]!;
  if (!(variance > 0)) return [];
  const short = unknowns / n;
  const r = rho.map((value, lag) => (lag === 0 ? 1 : Math.min(0.995, value / variance + short)));
  let best: number[] = [];
  let bestScore = Number.POSITIVE_INFINITY;
  let phi: number[] = [];
  let error = 1;
  for (let order = 0; order <= MOST_ORDER; order++) {
    if (order > 0) {
      let reflection = r[order]!;
      for (let j = 1; j < order; j++) reflection -= phi[j - 1]! * r[order - j]!;
      reflection /= error;
      if (!(Math.abs(reflection) < 1)) break;
      const before = phi;
      phi = before.map((value, j) => value - reflection * before[order - 2 - j]!);
      phi.push(reflection);
      error *= 1 - reflection * reflection;
    }
    const score = n * Math.log(error) + 2 * (order + 1) + (2 * (order + 1) * (order + 2)) / (n - order - 2);
    if (score < bestScore) {
      bestScore = score;
      best = phi.slice();
    }
  }
  return best;
}
