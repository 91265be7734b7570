/**
 * Fits a leak-up to a record of pressure by least squares, under three laws of flow:
 *
 *   orifice      choked and unchoked compressible flow through a hole, closed form in `orifice-leak.ts`
 *   viscous      laminar flow of a gas through a long narrow gap, mass flow ~ p0² - p² (Poiseuille with the density
 *                of the mean pressure): p = p0 tanh(a + k t)
 *   exponential  flow in proportion to the difference of pressures, right for a laminar leak and a small vacuum
 *
 * Each has two unknowns: where it starts, and how fast. Levenberg (1944) and Marquardt (1963).
 */
import { CHOKED_FACTOR, fillingCoordinate, flowFactor, ratioAtCoordinate } from './orifice-leak.ts';

export type LeakLaw = 'orifice' | 'viscous' | 'exponential';

export interface LeakUpFit {
  readonly law: LeakLaw;
  /** Pressure at the record's first instant by the fit [kPa absolute]. */
  readonly startKpa: number;
  /** Rise of pressure at that instant [kPa/s]. */
  readonly startRiseKpaPerS: number;
  /**
   * The law's own rate. Orifice: rise while choked, or would be [kPa/s]. Viscous and exponential: rise of a small
   * remaining vacuum over that vacuum [1/s]: one over the time constant.
   */
  readonly rate: number;
  /** Standard uncertainty of the rate from the scatter of the samples, their correlation allowed for. */
  readonly rateUncertainty: number;
  /** Standard deviation of the samples about the fit [kPa]. */
  readonly residualSdKpa: number;
  readonly sumOfSquares: number;
  /** Samples that would say as much if they were independent. */
  readonly effectiveSamples: number;
  /** Pressure at a time after the first instant [kPa absolute]. */
  at(timeS: number): number;
}

const MOST_STEPS = 40;
const CLOSE = 1e-10;
/** Quantised samples of a quiet sensor repeat themselves: their errors are correlated by at most this. */
const MOST_CORRELATION = 0.98;

/**
 * @param timeS times after the first instant [s], rising from about 0
 * @param kpa absolute pressure, as many
 * @param outsideKpa absolute pressure outside
 * @returns null when there are fewer than four samples or no fit is found
 */
export function fitLeakUp(
  law: LeakLaw,
  timeS: ArrayLike<number>,
  kpa: ArrayLike<number>,
  outsideKpa: number,
): LeakUpFit | null {
  const n = timeS.length;
  if (n < 4) return null;
  const model = modelOf(law, outsideKpa);
  let [start, rate] = model.guess(timeS, kpa);
  let squares = sumOfSquares(model, timeS, kpa, start, rate);
  let damping = 1e-3;
  let normal = normalOf(model, timeS, kpa, start, rate);
  for (let step = 0; step < MOST_STEPS; step++) {
    const aa = normal.ss * (1 + damping);
    const bb = normal.rr * (1 + damping);
    const determinant = aa * bb - normal.sr * normal.sr;
    if (!(determinant > 0)) break;
    const moveStart = (normal.se * bb - normal.re * normal.sr) / determinant;
    const moveRate = (normal.re * aa - normal.se * normal.sr) / determinant;
    const tried = sumOfSquares(model, timeS, kpa, start + moveStart, rate + moveRate);
    if (tried <= squares) {
      const gain = squares - tried;
      start += moveStart;
      rate += moveRate;
      squares = tried;
      damping = Math.max(1e-12, damping / 10);
      normal = normalOf(model, timeS, kpa, start, rate);
      if (gain <= CLOSE * squares) break;
    } else {
      damping *= 10;
      if (damping > 1e9) break;
    }
  }
  const determinant = normal.ss * normal.rr - normal.sr * normal.sr;
  if (!(determinant > 0) || !Number.isFinite(squares)) return null;
  const variance = squares / (n - 2);
  const stretch = correlationStretch(model, timeS, kpa, start, rate);
  return {
    law,
    startKpa: model.pressure(start, rate, 0),
    startRiseKpaPerS: model.slopes(start, rate, 0).startRise,
    rate,
    rateUncertainty: Math.sqrt((stretch * variance * normal.ss) / determinant),
    residualSdKpa: Math.sqrt(variance),
    sumOfSquares: squares,
    effectiveSamples: n / stretch,
    at: (seconds) => model.pressure(start, rate, seconds),
  };
}

interface Model {
  pressure(start: number, rate: number, timeS: number): number;
  /** Derivatives of the pressure by start and by rate, and the rise at the first instant. */
  slopes(
    start: number,
    rate: number,
    timeS: number,
  ): { readonly byStart: number; readonly byRate: number; readonly startRise: number };
  guess(timeS: ArrayLike<number>, kpa: ArrayLike<number>): [number, number];
}

function modelOf(law: LeakLaw, outside: number): Model {
  if (law === 'orifice') {
    const gain = (c: number): number => flowFactor(ratioAtCoordinate(c / outside)) / CHOKED_FACTOR;
    return {
      pressure: (start, rate, t) => outside * ratioAtCoordinate((start + rate * t) / outside),
      slopes: (start, rate, t) => {
        const g = gain(start + rate * t);
        return { byStart: g, byRate: g * t, startRise: rate * gain(start) };
      },
      guess: (t, p) => lineThroughEnds(t, p, (kpa) => outside * fillingCoordinate(kpa / outside)),
    };
  }
  if (law === 'viscous') {
    return {
      pressure: (start, rate, t) => outside * Math.tanh(start + 0.5 * rate * t),
      slopes: (start, rate, t) => {
        const share = 1 - Math.tanh(start + 0.5 * rate * t) ** 2;
        return {
          byStart: outside * share,
          byRate: 0.5 * outside * share * t,
          startRise: 0.5 * outside * rate * (1 - Math.tanh(start) ** 2),
        };
      },
      guess: (t, p) => {
        const [a, k] = lineThroughEnds(t, p, (kpa) => Math.atanh(within(kpa / outside)));
        return [a, 2 * k];
      },
    };
  }
  return {
    pressure: (start, rate, t) => outside - start * Math.exp(-rate * t),
    slopes: (start, rate, t) => {
      const left = Math.exp(-rate * t);
      return { byStart: -left, byRate: start * t * left, startRise: rate * start };
    },
    guess: (t, p) => {
      const [a, k] = lineThroughEnds(t, p, (kpa) => Math.log(Math.max(1e-3, outside - kpa)));
      return [Math.exp(a), -k];
    },
  };
}

function within(ratio: number): number {
  return Math.min(0.999, Math.max(0, ratio));
}

/** A line through the means of the first and the last fifth, in coordinates in which the law is straight. */
function lineThroughEnds(
  timeS: ArrayLike<number>,
  kpa: ArrayLike<number>,
  straight: (kpa: number) => number,
): [number, number] {
  const n = timeS.length;
  const some = Math.max(1, Math.floor(n / 5));
  const mean = (values: ArrayLike<number>, from: number): number => {
    let sum = 0;
    for (let at = from; at < from + some; at++) sum += values[at]!;
    return sum / some;
  };
  const [t0, t1] = [mean(timeS, 0), mean(timeS, n - some)];
  const [y0, y1] = [straight(mean(kpa, 0)), straight(mean(kpa, n - some))];
  const slope = t1 > t0 ? (y1 - y0) / (t1 - t0) : 0;
  return [y0 - slope * t0, slope];
}

function sumOfSquares(
  model: Model,
  timeS: ArrayLike<number>,
  kpa: ArrayLike<number>,
  start: number,
  rate: number,
): number {
  let sum = 0;
  for (let at = 0; at < timeS.length; at++) sum += (kpa[at]! - model.pressure(start, rate, timeS[at]!)) ** 2;
  return Number.isFinite(sum) ? sum : Number.POSITIVE_INFINITY;
}

function normalOf(
  model: Model,
  timeS: ArrayLike<number>,
  kpa: ArrayLike<number>,
  start: number,
  rate: number,
): { ss: number; sr: number; rr: number; se: number; re: number } {
  const sums = { ss: 0, sr: 0, rr: 0, se: 0, re: 0 };
  for (let at = 0; at < timeS.length; at++) {
    const t = timeS[at]!;
    const { byStart, byRate } = model.slopes(start, rate, t);
    const error = kpa[at]! - model.pressure(start, rate, t);
    sums.ss += byStart * byStart;
    sums.sr += byStart * byRate;
    sums.rr += byRate * byRate;
    sums.se += byStart * error;
    sums.re += byRate * error;
  }
  return sums;
}

/** By how much neighbouring errors that resemble each other widen the variance of the mean: (1 + ρ) / (1 - ρ). */
function correlationStretch(
  model: Model,
  timeS: ArrayLike<number>,
  kpa: ArrayLike<number>,
  start: number,
  rate: number,
): number {
  let squares = 0;
  let products = 0;
  let before = 0;
  for (let at = 0; at < timeS.length; at++) {
    const error = kpa[at]! - model.pressure(start, rate, timeS[at]!);
    squares += error * error;
    products += error * before;
    before = error;
  }
  const rho = squares > 0 ? Math.min(MOST_CORRELATION, Math.max(0, products / squares)) : 0;
  return (1 + rho) / (1 - rho);
}
