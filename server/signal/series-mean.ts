/**
 * Mean of a series of cycles with an honest standard error.
 *
 * Cycles are not independent: a strong one is followed by a strong one when the idle wanders, or by a weak one when
 * it hunts. The standard error is s·√(τ/n) with τ the integrated autocorrelation, summed up to a window that
 * chooses itself, after Wolff, Computer Physics Communications 156, 143 (2004), and with the correction for the bias
 * of a short series given there. Short series borrow what longer ones before them taught.
 *
 * The result is widened for the few degrees of freedom of a short series, so that twice the standard error covers
 * the truth as often as the normal distribution's two standard deviations do (GUM, JCGM 100:2008, G.3).
 */
import { coverageWidening } from '../../calibration/coverage-widening.ts';

/** Window of the autocorrelation sum, in units of the time it finds (Wolff's S). */
const WINDOW = 2.5;
/** From so many values on the series speaks for itself alone. */
const ALONE_FROM = 60;
const LEAST_TAU = 0.3;
/** With fewer values no autocorrelation of their own is told; lags reach up to a third of the series. */
const FEWEST_FOR_TAU = 6;
const FURTHEST_LAG_PART = 3;
const LEAST_FREEDOM = 1.5;
/** Two values alone have a standard error where earlier stretches are trusted this much. */
const TRUSTED = 0.5;
/** The correction for a short series at most doubles the variance. */
const LEAST_UNBIASED = 0.5;

export interface SeriesMean {
  readonly count: number;
  readonly mean: number;
  /** Standard deviation of the values; null for fewer than two. */
  readonly sd: number | null;
  /** Standard error of the mean with autocorrelation and few degrees of freedom allowed for; null for fewer than three. */
  readonly standardError: number | null;
  /** Integrated autocorrelation: n / τ values would do if they were independent. */
  readonly tau: number;
}

/** What earlier stretches of the same engine have taught about its scatter. */
export interface Scatter {
  readonly sd: number;
  readonly tau: number;
  /** How many values that rests on. */
  readonly count: number;
}

/**
 * @param values any length, finite
 * @param prior scatter of earlier stretches, or null
 */
export function seriesMean(values: readonly number[], prior: Scatter | null = null): SeriesMean {
  const n = values.length;
  if (n === 0) return { count: 0, mean: Number.NaN, sd: null, standardError: null, tau: 1 };
  let mean = 0;
  for (const value of values) mean += value;
  mean /= n;
  if (n < 2) return { count: n, mean, sd: null, standardError: null, tau: prior?.tau ?? 1 };
  let squares = 0;
  for (const value of values) squares += (value - mean) ** 2;
  const variance = squares / (n - 1);
  const sd = Math.sqrt(variance);
  const ownTau = integratedAutocorrelation(values, mean, squares / n);
  const ownWeight = Math.min(1, n / ALONE_FROM);
  const trust = prior === null ? 0 : (1 - ownWeight) * Math.min(1, prior.count / ALONE_FROM);
  const tau = (1 - trust) * ownTau + trust * (prior?.tau ?? 1);
  const pooled = Math.sqrt((1 - trust) * variance * bias(tau, n) + trust * (prior?.sd ?? 0) ** 2);
  const freedom = Math.max(LEAST_FREEDOM, (n - 1) / Math.max(1, tau) + trust * ALONE_FROM);
  const standardError =
    n < 3 && trust < TRUSTED ? null : coverageWidening(freedom) * pooled * Math.sqrt(tau / n);
  return { count: n, mean, sd, standardError, tau };
}

/** A correlated series of n values varies by less about its own mean than about the true one. */
function bias(tau: number, n: number): number {
  return 1 / Math.max(LEAST_UNBIASED, 1 - Math.max(0, tau - 1) / n);
}

/** τ = 1 + 2 Σ ρ_k up to Wolff's window; at least `LEAST_TAU`. */
function integratedAutocorrelation(values: readonly number[], mean: number, variance: number): number {
  const n = values.length;
  if (n < FEWEST_FOR_TAU || !(variance > 0)) return 1;
  const furthest = Math.floor(n / FURTHEST_LAG_PART);
  let tau = 1;
  let window = 0;
  for (let lag = 1; lag <= furthest; lag++) {
    let sum = 0;
    for (let index = 0; index + lag < n; index++)
      sum += (values[index]! - mean) * (values[index + lag]! - mean);
    // Each lag is short of its truth by about the variance of the mean.
    const rho = sum / ((n - lag) * variance) + Math.max(0, tau) / n;
    tau += 2 * Math.max(-1, Math.min(1, rho));
    window = lag;
    const time = Math.max(1e-9, tau) / 2;
    const decay = time <= 0.5 ? 1e-6 : WINDOW / Math.log((2 * time + 1) / (2 * time - 1));
    if (Math.exp(-lag / decay) - decay / Math.sqrt(lag * n) < 0) break;
  }
  return Math.max(LEAST_TAU, tau * (1 + (2 * window + 1) / n));
}
