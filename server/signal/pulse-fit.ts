/**
 * Measures one pulse against the cylinder's usual one: how much earlier or later it came, how deep it was and
 * on which level, all samples of the cycle taking part.
 *
 * The model is p(u) = offset + gain · m(u - shift), with m the folded mean and u the phase [cycles]. It is solved
 * by Gauss and Newton's iteration on the three unknowns; the variance of the shift is that of linear least
 * squares at the solution. This reaches the Cramér-Rao bound of time-delay estimation for white noise, which
 * a crossing or a lowest sample does not.
 */
import { type PulseTemplate, TEMPLATE_BINS } from './pulse-template.ts';
import type { SampleHistory } from './sample-history.ts';

const MASK = TEMPLATE_BINS - 1;

const MOST_ITERATIONS = 4;
const ENOUGH_PRECISE = 2e-5;
/** The iteration may move this far in one step and in all [cycles]. */
const LARGEST_STEP = 0.06;
const FURTHEST = 0.4;
/** Lags [cycles] and speeds (present over expected) tried when the pulse is not where or as long as expected. */
const SEARCH_REACH = 0.36;
const SEARCH_STEP = 0.03;
const SEARCH_SPEEDS = [1, 0.9, 1.12, 0.8, 1.26, 0.7, 1.42] as const;
/** Samples used in that search at most. */
const SEARCH_POINTS = 80;
/** With fewer samples in the cycle, a search finds whatever it likes. */
const SEARCH_FROM_POINTS = 6;
/** A first fit this good is not searched further. */
const GOOD_GAIN = 0.6;
const GOOD_EXPLAINED = 0.75;
/** The search must explain this much more to be believed. */
const WORTH_MOVING = 0.12;
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
 * @param expectedS when the steepest fall should come [s, the channel's own time]
 * @param periodS present cycle length [s]
 * @param noiseKpa spread of single samples about the usual pulse, as known so far [kPa]
 * @param pulses how many pulses this hose sees in a cycle: they look alike, so none is sought where the next one is
 * @returns null with too few samples
 */
export function fitPulse(
  history: SampleHistory,
  channel: number,
  template: PulseTemplate,
  expectedS: number,
  periodS: number,
  noiseKpa: number,
  pulses = 1,
): PulseFit | null {
  const reach = NARROWEST + (WIDER_BY_NOISE * noiseKpa) / Math.max(1e-6, template.depthKpa);
  const firstRow = history.rowAtOrBefore(channel, expectedS - 0.5 * periodS) + 1;
  const lastRow = history.rowAtOrBefore(channel, expectedS + 0.5 * periodS);
  const from = Math.max(firstRow, history.firstRow);
  if (lastRow - from + 1 < FEWEST_POINTS) return null;
  const near = iterate(history, channel, template, expectedS, periodS, from, lastRow, 0, 1, reach);
  if (near.gain > GOOD_GAIN && near.explained > GOOD_EXPLAINED) return near;
  if (lastRow - from + 1 < SEARCH_FROM_POINTS) return near;
  const found = search(history, channel, template, expectedS, periodS, from, lastRow, SEARCH_REACH / pulses);
  const far = iterate(
    history,
    channel,
    template,
    expectedS,
    periodS,
    from,
    lastRow,
    found.lag,
    found.speed,
    reach,
  );
  return far.gain > 0.2 && far.explained > near.explained + WORTH_MOVING ? far : near;
}

export interface PulseDepth {
  /** Depth in units of the usual depth. */
  readonly gain: number;
  /** Highest pressure [kPa]. */
  readonly offsetKpa: number;
  readonly points: number;
}

/**
 * Depth and level of a pulse whose time is known: less to be misled by than `fitPulse`, which may shift a weak pulse
 * until it fits something.
 */
export function measureDepth(
  history: SampleHistory,
  channel: number,
  template: PulseTemplate,
  fallS: number,
  periodS: number,
): PulseDepth | null {
  const from = Math.max(history.firstRow, history.rowAtOrBefore(channel, fallS - 0.5 * periodS) + 1);
  const to = history.rowAtOrBefore(channel, fallS + 0.5 * periodS);
  if (to - from + 1 < FEWEST_POINTS) return null;
  accumulate(history, channel, template, fallS, periodS, from, to, 0, 1, 1, DEPTH_REACH);
  const mm = sum.mm - (sum.m * sum.m) / sum.n;
  if (!(mm > 0)) return null;
  const gain = (sum.mp - (sum.m * sum.p) / sum.n) / mm;
  return { gain, offsetKpa: (sum.p - gain * sum.m) / sum.n + template.highestKpa, points: to - from + 1 };
}

/** Sums of the normal equations for the regressors 1, m and -m'. */
const sum = { n: 0, m: 0, s: 0, mm: 0, ms: 0, ss: 0, p: 0, mp: 0, sp: 0, pp: 0 };

function accumulate(
  history: SampleHistory,
  channel: number,
  template: PulseTemplate,
  expectedS: number,
  periodS: number,
  from: number,
  to: number,
  shift: number,
  speed: number,
  stride: number,
  reach: number,
): void {
  const { values, times, mask } = history.column(channel);
  const { mean, slope } = template;
  const scale = (speed * TEMPLATE_BINS) / periodS;
  const origin = expectedS - history.delayOf(channel) + shift * periodS;
  const level = template.highestKpa;
  const narrowness = 1 / (reach * TEMPLATE_BINS);
  let n = 0;
  let sumM = 0;
  let sumS = 0;
  let sumMm = 0;
  let sumMs = 0;
  let sumSs = 0;
  let sumP = 0;
  let sumMp = 0;
  let sumSp = 0;
  let sumPp = 0;
  for (let row = from; row <= to; row += stride) {
    const at = row & mask;
    const position = (times[at]! - origin) * scale;
    const whole = Math.floor(position);
    const share = position - whole;
    const bin = whole & MASK;
    const next = (bin + 1) & MASK;
    const away = position * narrowness;
    const square = away * away;
    const w = 1 / (1 + square * square);
    const m = mean[bin]! + share * (mean[next]! - mean[bin]!) - level;
    const s = -(slope[bin]! + share * (slope[next]! - slope[bin]!));
    const p = values[at]! - level;
    const wm = w * m;
    const ws = w * s;
    const wp = w * p;
    n += w;
    sumM += wm;
    sumS += ws;
    sumMm += wm * m;
    sumMs += wm * s;
    sumSs += ws * s;
    sumP += wp;
    sumMp += wm * p;
    sumSp += ws * p;
    sumPp += wp * p;
  }
  sum.n = n;
  sum.m = sumM;
  sum.s = sumS;
  sum.mm = sumMm;
  sum.ms = sumMs;
  sum.ss = sumSs;
  sum.p = sumP;
  sum.mp = sumMp;
  sum.sp = sumSp;
  sum.pp = sumPp;
}

function iterate(
  history: SampleHistory,
  channel: number,
  template: PulseTemplate,
  expectedS: number,
  periodS: number,
  from: number,
  to: number,
  startShift: number,
  speed: number,
  reach: number,
): PulseFit {
  let shift = startShift;
  let fit: PulseFit = none(to - from + 1);
  for (let iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
    accumulate(history, channel, template, expectedS, periodS, from, to, shift, speed, 1, reach);
    const { n } = sum;
    // Centred on the means, the three equations become two.
    const mm = sum.mm - (sum.m * sum.m) / n;
    const ms = sum.ms - (sum.m * sum.s) / n;
    const ss = sum.ss - (sum.s * sum.s) / n;
    const mp = sum.mp - (sum.m * sum.p) / n;
    const sp = sum.sp - (sum.s * sum.p) / n;
    const pp = sum.pp - (sum.p * sum.p) / n;
    const determinant = mm * ss - ms * ms;
    if (!(determinant > 1e-12 * mm * ss) || !(pp > 0)) return fit;
    const gain = (ss * mp - ms * sp) / determinant;
    const moved = (mm * sp - ms * mp) / determinant;
    const unexplained = Math.max(0, pp - gain * mp - moved * sp);
    const count = to - from + 1;
    const variance = unexplained / Math.max(0.3, (n * (count - 3)) / count);
    const step = gain > 0.05 ? moved / gain / speed : 0;
    const clipped = Math.max(-LARGEST_STEP, Math.min(LARGEST_STEP, step));
    const level = template.highestKpa;
    fit = {
      shift: Math.max(-FURTHEST, Math.min(FURTHEST, shift + clipped)),
      speedRatio: speed,
      shiftVariance: (variance * mm) / determinant / Math.max(1e-6, gain * gain) / (speed * speed),
      gain,
      offsetKpa: (sum.p - gain * sum.m - moved * sum.s) / n + level,
      explained: 1 - unexplained / pp,
      residualKpa: Math.sqrt(variance),
      points: count,
    };
    if (gain <= 0.05) return fit;
    shift = fit.shift;
    if (Math.abs(step) < ENOUGH_PRECISE) return fit;
  }
  return fit;
}

/** The lag and speed whose template correlates best with the samples. */
function search(
  history: SampleHistory,
  channel: number,
  template: PulseTemplate,
  expectedS: number,
  periodS: number,
  from: number,
  to: number,
  reach: number,
): { readonly lag: number; readonly speed: number } {
  const stride = Math.max(1, Math.floor((to - from) / SEARCH_POINTS));
  let best = { lag: 0, speed: 1 };
  let bestScore = -1;
  for (const speed of SEARCH_SPEEDS) {
    const step = (SEARCH_STEP * reach) / SEARCH_REACH;
    for (let lag = -reach; lag <= reach + 1e-9; lag += step) {
      accumulate(history, channel, template, expectedS, periodS, from, to, lag, speed, stride, WHOLE_CYCLE);
      const mm = sum.mm - (sum.m * sum.m) / sum.n;
      const mp = sum.mp - (sum.m * sum.p) / sum.n;
      const pp = sum.pp - (sum.p * sum.p) / sum.n;
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
