import { summarise } from './summary-statistics.ts';

/** Mean of samples of a pressure that stood still, and how sure it is. */
export interface SteadyMean {
  readonly count: number;
  readonly meanKpa: number;
  /** Standard deviation of the single samples [kPa]. */
  readonly sdKpa: number;
  /** Standard uncertainty of the mean: scatter, its correlation in time, and the steps of the converter [kPa]. */
  readonly standardUncertaintyKpa: number;
}

/**
 * @param samplesKpa at least 2; NaN are left out
 * @param resolutionKpa pressure of one count
 * @returns null where fewer than 2 samples are there
 */
export function steadyMean(samplesKpa: ArrayLike<number>, resolutionKpa: number): SteadyMean | null {
  const known = Array.from(samplesKpa).filter(Number.isFinite);
  if (known.length < 2) return null;
  const { count, mean, sd, lag1 } = summarise(known);
  const scatter = sd ?? 0;
  const variance =
    (scatter ** 2 / count) * correlationFactor(lag1) + quantisationVariance(scatter, resolutionKpa);
  return { count, meanKpa: mean, sdKpa: scatter, standardUncertaintyKpa: Math.sqrt(variance) };
}

/** Beyond this the record is a drift and no noise; the plateau's own bounds deal with it. */
const MOST_LAG1 = 0.99;

/** Variance of a mean of first-order correlated samples, against that of independent ones: (1 + r)/(1 - r). */
export function correlationFactor(lag1: number | null): number {
  const r = Math.min(MOST_LAG1, Math.max(0, lag1 ?? 0));
  return (1 + r) / (1 - r);
}

/** Terms after this one are below a thousandth of the first. */
const HARMONICS = 20;

/**
 * Variance, over all places between two counts, of the error that rounding to counts leaves in a long mean. Noise
 * dithers it away: q²/12 without any, a hundredth of that when the noise is 0.35 of a count. Fourier series of the
 * rounding error of a normal variable; Widrow and Kollár, Quantization Noise (2008), chapter on dither, from memory.
 *
 * @param sdKpa standard deviation of the samples, rounding included
 * @param resolutionKpa one count, q
 */
export function quantisationVariance(sdKpa: number, resolutionKpa: number): number {
  if (!(resolutionKpa > 0)) return 0;
  const analog = Math.max(0, (sdKpa / resolutionKpa) ** 2 - 1 / 12);
  let sum = 0;
  for (let m = 1; m <= HARMONICS; m++) {
    const term = Math.exp(-4 * Math.PI ** 2 * m * m * analog) / (2 * Math.PI ** 2 * m * m);
    sum += term;
    if (term < 1e-12) break;
  }
  return resolutionKpa ** 2 * sum;
}
