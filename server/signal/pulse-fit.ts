/**
 * Measures one pulse against the cylinder's usual one: how much earlier or later it came, how deep it was and
 * on which level, all samples of the cycle taking part.
 *
 * The model is p(u) = offset + gain · m(u - shift), with m the folded mean and u the phase [cycles]. It is solved
 * by Gauss and Newton's iteration on the three unknowns; the variance of the shift is that of linear least
 * squares at the solution. This reaches the Cramér-Rao bound of time-delay estimation for white noise, which
 * a crossing or a lowest sample does not.
 */
import type { PulseWindow } from './pulse-window.ts';

const MOST_ITERATIONS = 4;
const ENOUGH_PRECISE = 2e-5;
/** The iteration may move this far in one step and in all [cycles]. */
const LARGEST_STEP = 0.06;
const FURTHEST = 0.4;
/** Below this gain there is nothing to be timed. */
const NO_GAIN = 0.05;
/** Lags [cycles] and speeds (present over expected) tried when the pulse is not where or as long as expected. */
const SEARCH_REACH = 0.36;
const SEARCH_STEPS = 12;
const SEARCH_SPEEDS = [1, 0.9, 1.12, 0.8, 1.26, 0.7, 1.42] as const;
/** Samples used in that search at most. */
const SEARCH_POINTS = 80;
/** With fewer samples in the cycle, a search finds whatever it likes. */
const SEARCH_FROM_POINTS = 8;
/** A first fit this good is not searched further. */
const GOOD_GAIN = 0.6;
const GOOD_EXPLAINED = 0.75;
/** The search must explain this much more, with this gain, to be believed. */
const WORTH_MOVING = 0.12;
const WORTH_GAIN = 0.2;
/**
 * How far from the fall samples count [cycles]: near it they tell its time best, and farther off the speed may be
 * another already; but a pulse that is hardly larger than the noise needs all the samples there are.
 */
const NARROWEST = 0.15;
const WIDER_BY_NOISE = 4;
const WHOLE_CYCLE = 10;
/** The depth is told by the fall and the trough behind it. */
const DEPTH_REACH = 0.4;
/** Samples of a cycle without which nothing is fitted. */
const FEWEST_POINTS = 4;
/** Unknowns of the fit, and the least degrees of freedom that are counted. */
const UNKNOWNS = 3;
const LEAST_FREEDOM = 0.3;
/** Determinants smaller than this part of their product are singular. */
const SINGULAR = 1e-12;

export interface PulseFit {
  /** Later than expected is positive [cycles]. */
  readonly shift: number;
  /** Speed at this pulse over the speed expected; 1 unless a changed speed explains the pulse better. */
  readonly speedRatio: number;
  /** Variance of `shift` [cycles²]. */
  readonly shiftVariance: number;
  /** Depth in units of the usual depth; 0 when the pulse is missing. */
  readonly gain: number;
  readonly offsetKpa: number;
  /** Part of the variance within the cycle that the fit explains, 0-1. */
  readonly explained: number;
  /** Standard deviation of the samples about the fit [kPa]. */
  readonly residualKpa: number;
  readonly points: number;
}

/**
 * @param noiseKpa spread of single samples about the usual pulse, as known so far [kPa]
 * @param pulses how many pulses this hose sees in a cycle: they look alike, so none is sought where the next one is;
 *   null where one is not to be sought elsewhere at all
 * @returns null with too few samples
 */
export function fitPulse(window: PulseWindow, noiseKpa: number, pulses: number | null = 1): PulseFit | null {
  if (window.points < FEWEST_POINTS) return null;
  const reach = NARROWEST + (WIDER_BY_NOISE * noiseKpa) / Math.max(1e-6, window.template.depthKpa);
  const near = iterate(window, 0, 1, reach);
  if (near.gain > GOOD_GAIN && near.explained > GOOD_EXPLAINED) return near;
  if (pulses === null || window.points < SEARCH_FROM_POINTS) return near;
  const found = search(window, SEARCH_REACH / pulses);
  const far = iterate(window, found.lag, found.speed, reach);
  return far.gain > WORTH_GAIN && far.explained > near.explained + WORTH_MOVING ? far : near;
}

export interface PulseDepth {
  /** Depth in units of the usual depth. */
  readonly gain: number;
  /** Highest pressure [kPa]. */
  readonly offsetKpa: number;
}

/**
 * Depth and level of a pulse whose time is known: less to be misled by than `fitPulse`, which may shift a weak pulse
 * until it fits something.
 *
 * @param window placed at the known time
 * @returns null with too few samples
 */
export function measureDepth(window: PulseWindow): PulseDepth | null {
  if (window.points < FEWEST_POINTS) return null;
  const { mm, mp, meanM, meanP } = window.sums(0, 1, DEPTH_REACH);
  if (!(mm > 0)) return null;
  const gain = mp / mm;
  return { gain, offsetKpa: meanP - gain * meanM + window.template.highestKpa };
}

function iterate(window: PulseWindow, startShift: number, speed: number, reach: number): PulseFit {
  const { points, template } = window;
  let shift = startShift;
  let fit = none(points);
  for (let iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
    const { n, meanM, meanS, meanP, mm, ms, ss, mp, sp, pp } = window.sums(shift, speed, reach);
    const determinant = mm * ss - ms * ms;
    if (!(determinant > SINGULAR * mm * ss) || !(pp > 0)) return fit;
    const gain = (ss * mp - ms * sp) / determinant;
    const moved = (mm * sp - ms * mp) / determinant;
    const unexplained = Math.max(0, pp - gain * mp - moved * sp);
    const variance = unexplained / Math.max(LEAST_FREEDOM, (n * (points - UNKNOWNS)) / points);
    const step = gain > NO_GAIN ? moved / gain / speed : 0;
    const clipped = Math.max(-LARGEST_STEP, Math.min(LARGEST_STEP, step));
    fit = {
      shift: Math.max(-FURTHEST, Math.min(FURTHEST, shift + clipped)),
      speedRatio: speed,
      shiftVariance: (variance * mm) / determinant / Math.max(1e-6, gain * gain) / (speed * speed),
      gain,
      offsetKpa: meanP - gain * meanM - moved * meanS + template.highestKpa,
      explained: 1 - unexplained / pp,
      residualKpa: Math.sqrt(variance),
      points,
    };
    if (gain <= NO_GAIN) return fit;
    shift = fit.shift;
    if (Math.abs(step) < ENOUGH_PRECISE) return fit;
  }
  return fit;
}

/** The lag and speed whose usual pulse correlates best with the samples. */
function search(window: PulseWindow, furthest: number): { readonly lag: number; readonly speed: number } {
  const stride = Math.max(1, Math.floor((window.points - 1) / SEARCH_POINTS));
  let best = { lag: 0, speed: 1 };
  let bestScore = -1;
  for (const speed of SEARCH_SPEEDS) {
    for (let step = -SEARCH_STEPS; step <= SEARCH_STEPS; step++) {
      const lag = (step * furthest) / SEARCH_STEPS;
      const { mm, mp, pp } = window.sums(lag, speed, WHOLE_CYCLE, stride);
      const score = mp > 0 && mm > 0 && pp > 0 ? (mp * mp) / (mm * pp) : 0;
      if (score > bestScore) {
        bestScore = score;
        best = { lag, speed };
      }
    }
  }
  return best;
}

function none(points: number): PulseFit {
  return {
    shift: 0,
    speedRatio: 1,
    shiftVariance: Number.POSITIVE_INFINITY,
    gain: 0,
    offsetKpa: 0,
    explained: 0,
    residualKpa: 0,
    points,
  };
}
