import { incompleteBeta, logGamma } from './incomplete-beta.ts';
import { normalQuantile } from './normal-quantile.ts';

/**
 * Quantile of Student's t distribution, by inversion of the incomplete beta function.
 *
 * @param probability between 0 and 1, both excluded
 * @param degreesOfFreedom greater than 0, not necessarily whole (Welch-Satterthwaite gives fractions)
 * @returns t with P(T <= t) = probability, relative error about 1e-12
 * @throws RangeError when an argument is outside of its range
 * @example studentTQuantile(0.975, 10) // 2.2281388519649…
 */
export function studentTQuantile(probability: number, degreesOfFreedom: number): number {
  if (!(probability > 0 && probability < 1))
    throw new RangeError(`A probability lies between 0 and 1, not ${probability}`);
  if (!(degreesOfFreedom > 0))
    throw new RangeError(`Degrees of freedom are greater than 0, not ${degreesOfFreedom}`);
  if (probability === 0.5) return 0;
  if (probability < 0.5) return -upperTail(probability, degreesOfFreedom);
  return upperTail(1 - probability, degreesOfFreedom);
}

/** Probability of a t greater than this, for t >= 0: I_x(ν/2, 1/2)/2 with x = ν/(ν + t²). */
export function studentTUpperTail(t: number, degreesOfFreedom: number): number {
  return incompleteBeta(degreesOfFreedom / (degreesOfFreedom + t * t), degreesOfFreedom / 2, 0.5) / 2;
}

/** From here on four terms of the expansion in 1/ν are exact to the last digits. */
const NEARLY_NORMAL = 10_000;
const MOST_STEPS = 200;
const CLOSE = 1e-14;

function upperTail(tail: number, nu: number): number {
  const guess = expansion(normalQuantile(1 - tail), nu);
  if (nu >= NEARLY_NORMAL) return guess;
  let low = 0;
  let high = guess;
  while (studentTUpperTail(high, nu) > tail) {
    low = high;
    high *= 2;
  }
  const logDensity = logGamma((nu + 1) / 2) - logGamma(nu / 2) - 0.5 * Math.log(nu * Math.PI);
  let t = guess < high ? guess : (low + high) / 2;
  for (let step = 0; step < MOST_STEPS; step++) {
    const found = studentTUpperTail(t, nu);
    if (found > tail) low = t;
    else high = t;
    const density = Math.exp(logDensity - ((nu + 1) / 2) * Math.log1p((t * t) / nu));
    // Newton's step on the logarithm of the tail, which is nearly straight far out.
    const newton = t + (Math.log(found / tail) * found) / density;
    if (Math.abs(newton - t) <= CLOSE * t) return newton;
    t = newton > low && newton < high ? newton : (low + high) / 2;
  }
  return t;
}

/** Cornish-Fisher expansion in 1/ν: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5. */
function expansion(z: number, nu: number): number {
  const s = z * z;
  return (
    z *
    (1 +
      (s + 1) / (4 * nu) +
      ((5 * s + 16) * s + 3) / (96 * nu ** 2) +
      (((3 * s + 19) * s + 17) * s - 15) / (384 * nu ** 3) +
      ((((79 * s + 776) * s + 1482) * s - 1920) * s - 945) / (92160 * nu ** 4))
  );
}
