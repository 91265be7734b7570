/**
 * Finds the length of the engine cycle in a few cycles of pressure, with nothing known beforehand.
 *
 * Each trial period folds the samples of every cylinder onto one cycle and asks how much of their variance
 * the folded mean leaves unexplained: the phase dispersion minimisation of Stellingwerf, Astrophysical Journal
 * 224, 953 (1978). It needs no even sampling, no particular pulse shape and no minimum rate, and all cylinders
 * vote on one period, so a dead one or a damped one does not matter.
 *
 * A period that fits fits twice and three times over as well; the shortest that explains nearly as much is taken.
 */
import type { SampleHistory } from './sample-history.ts';

export interface PeriodFound {
  readonly periodS: number;
  /** Start of the stretch that was folded [s]. */
  readonly fromS: number;
  /** Part of the variance that the folded mean explains, per channel, 0-1. */
  readonly explained: readonly number[];
}

/** Step between trial periods, relative: eight cycles smear by less than a bin. */
const TRIAL_STEP = 0.006;
/**
 * Cycles folded: few while the speed may be changing, more when few do not suffice, and what a fold over them must
 * explain to be believed.
 */
const ATTEMPTS = [
  { cycles: 4, explains: 0.6 },
  { cycles: 8, explains: 0.35 },
] as const;
const MOST_CYCLES = 8;
const FEWEST_CYCLES = 3;
/** Samples wanted in a fold: sparse sampling folds more cycles. */
const WANTED_POINTS = 64;
/** Samples of one channel in one fold at most: more only cost time. */
const MOST_POINTS = 560;
const COARSE_BINS = 12;
const FINE_BINS = 24;
/** A channel takes part if some period explains this much of it. */
const LEAST_EXPLAINED = 0.3;
/** A fraction of the best period is preferred if it explains this part of what the best one does. */
const PREFER_SHORTER = 0.84;
/** Standard deviations of chance that are taken off what a fold explains. */
const CHANCE_SIGMAS = 3;
/** A fold counts in full if its samples vary by this part of what the channel does in a second. */
const LEAST_SHARE = 0.4;
/** Fractions of the best trial that are tried. */
const MOST_FRACTION = 6;
/** Swings smaller than this are no pulse [kPa]. */
const LEAST_SWING_KPA = 0.15;

/**
 * @param shortestS shortest period looked for [s]
 * @param longestS longest [s]
 * @param pulsesPerCycle per channel; evenly spaced pulses of a shared manifold are folded onto one another
 * @returns null when no period explains the pressure
 */
export function searchPeriod(
  history: SampleHistory,
  shortestS: number,
  longestS: number,
  pulsesPerCycle: readonly number[],
): PeriodFound | null {
  if (history.finalRows - history.firstRow < 12) return null;
  const spanS = history.timeOfRow(history.finalRows - 1) - history.timeOfRow(history.firstRow);
  const longest = Math.min(longestS, spanS / FEWEST_CYCLES);
  if (longest < shortestS) return null;
  for (const attempt of ATTEMPTS) {
    const found = attemptSearch(
      history,
      shortestS,
      longest,
      pulsesPerCycle,
      attempt.cycles,
      attempt.explains,
    );
    if (found !== null) return found;
  }
  return null;
}

function attemptSearch(
  history: SampleHistory,
  shortestS: number,
  longest: number,
  pulsesPerCycle: readonly number[],
  cycles: number,
  explains: number,
): PeriodFound | null {
  const endS = history.timeOfRow(history.finalRows - 1);
  const spanS = endS - history.timeOfRow(history.firstRow);
  const trials = Math.ceil(Math.log(longest / shortestS) / TRIAL_STEP) + 1;
  const channels = history.channels;
  const table = new Float64Array(trials * channels);
  const best = new Float64Array(channels);
  const overall = Array.from({ length: channels }, (_, c) => overallVariance(history, c, endS));
  for (let trial = 0; trial < trials; trial++) {
    const periodS = shortestS * Math.exp(trial * TRIAL_STEP);
    for (let channel = 0; channel < channels; channel++) {
      const explained = explainedBy(
        history,
        channel,
        periodS / pulsesPerCycle[channel]!,
        endS,
        spanS,
        cycles,
        COARSE_BINS,
        overall[channel]!,
      );
      table[trial * channels + channel] = explained;
      if (explained > best[channel]!) best[channel] = explained;
    }
  }
  const voters: number[] = [];
  for (let channel = 0; channel < channels; channel++) {
    if (best[channel]! >= LEAST_EXPLAINED) voters.push(channel);
  }
  if (voters.length === 0) return null;

  let bestTrial = 0;
  let bestScore = -1;
  for (let trial = 0; trial < trials; trial++) {
    const score = pooled(voters.map((channel) => table[trial * channels + channel]!));
    if (score > bestScore) {
      bestScore = score;
      bestTrial = trial;
    }
  }
  const score = (periodS: number): number =>
    pooled(
      voters.map((c) =>
        explainedBy(history, c, periodS / pulsesPerCycle[c]!, endS, spanS, cycles, FINE_BINS, overall[c]!),
      ),
    );
  const coarseS = shortestS * Math.exp(bestTrial * TRIAL_STEP);
  const top = refine(coarseS, score);
  let chosen = top;
  for (let part = MOST_FRACTION; part >= 2; part--) {
    if (top.periodS / part < shortestS) continue;
    const shorter = refine(top.periodS / part, score);
    if (shorter.score >= PREFER_SHORTER * top.score) {
      chosen = shorter;
      break;
    }
  }
  if (chosen.score < explains) return null;
  return {
    periodS: chosen.periodS,
    fromS: endS - Math.min(spanS, cycles * chosen.periodS),
    explained: Array.from({ length: channels }, (_, c) =>
      explainedBy(
        history,
        c,
        chosen.periodS / pulsesPerCycle[c]!,
        endS,
        spanS,
        cycles,
        FINE_BINS,
        overall[c]!,
      ),
    ),
  };
}

/**
 * Whether a period that is being followed is still the shortest that explains the pressure: neither a multiple
 * of the true one nor a fraction of it.
 */
export function periodStillHolds(
  history: SampleHistory,
  periodS: number,
  pulsesPerCycle: readonly number[],
  shortestS: number,
): boolean {
  const endS = history.timeOfRow(history.finalRows - 1);
  const spanS = endS - history.timeOfRow(history.firstRow);
  if (spanS < 2 * FEWEST_CYCLES * periodS) return true;
  const overall = Array.from({ length: history.channels }, (_, c) => overallVariance(history, c, endS));
  const cycles = MOST_CYCLES;
  const score = (trialS: number): number => {
    const explained: number[] = [];
    for (let channel = 0; channel < history.channels; channel++) {
      const part = explainedBy(
        history,
        channel,
        trialS / pulsesPerCycle[channel]!,
        endS,
        spanS,
        cycles,
        COARSE_BINS,
        overall[channel]!,
      );
      const alone = explainedBy(
        history,
        channel,
        periodS / pulsesPerCycle[channel]!,
        endS,
        spanS,
        cycles,
        COARSE_BINS,
        overall[channel]!,
      );
      if (Math.max(part, alone) >= LEAST_EXPLAINED) explained.push(part);
    }
    return explained.length === 0 ? 0 : pooled(explained);
  };
  const present = score(periodS);
  // A speed that changes within the window blurs every fold: then nothing can be said.
  if (present < 2 * LEAST_EXPLAINED) return true;
  for (const part of [2, 3]) {
    if (periodS / part >= shortestS && score(periodS / part) >= 0.92 * present) return false;
  }
  return score(2 * periodS) * PREFER_SHORTER * PREFER_SHORTER < present;
}

/** Mean over the channels, the worst of three or more left out: one cylinder that fires every other time must not double the period. */
function pooled(explained: number[]): number {
  if (explained.length < 3) return explained.reduce((sum, value) => sum + value, 0) / explained.length;
  const worst = Math.min(...explained);
  return (explained.reduce((sum, value) => sum + value, 0) - worst) / (explained.length - 1);
}

function refine(
  aroundS: number,
  score: (periodS: number) => number,
): { readonly periodS: number; readonly score: number } {
  let periodS = aroundS;
  let best = score(aroundS);
  for (let step = -10; step <= 10; step++) {
    const trialS = aroundS * (1 + step * 0.001);
    const trial = score(trialS);
    if (trial > best) {
      best = trial;
      periodS = trialS;
    }
  }
  return { periodS, score: best };
}

const sums = new Float64Array(FINE_BINS);
const counts = new Float64Array(FINE_BINS);

/** 1 - (variance within the bins) / (variance of all), over the newest cycles; 0 when there is nothing to explain. */
function explainedBy(
  history: SampleHistory,
  channel: number,
  periodS: number,
  endS: number,
  spanS: number,
  cycles: number,
  mostBins: number,
  overall: number,
): number {
  const wantedS = Math.min(MOST_CYCLES * periodS, WANTED_POINTS * history.usualIntervalS);
  const windowS = Math.min(spanS, Math.max(cycles * periodS, wantedS));
  const { values, times, mask } = history.column(channel);
  const lastRow = history.finalRows - 1;
  const firstRow = Math.max(history.firstRow, history.rowAtOrBefore(channel, endS - windowS) + 1);
  const rows = lastRow - firstRow + 1;
  const stride = Math.max(1, Math.floor(rows / MOST_POINTS));
  const points = Math.floor((rows + stride - 1) / stride);
  const bins = Math.min(mostBins, Math.floor(points / 4));
  if (bins < 4) return 0;
  sums.fill(0, 0, bins);
  counts.fill(0, 0, bins);
  const originS = times[firstRow & mask]!;
  const shift = values[firstRow & mask]!;
  const perPeriod = 1 / periodS;
  let sum = 0;
  let squares = 0;
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let row = firstRow; row <= lastRow; row += stride) {
    const at = row & mask;
    const value = values[at]! - shift;
    const turns = (times[at]! - originS) * perPeriod;
    const bin = ((turns - Math.floor(turns)) * bins) | 0;
    sums[bin] = sums[bin]! + value;
    counts[bin] = counts[bin]! + 1;
    sum += value;
    squares += value * value;
    if (value < lowest) lowest = value;
    if (value > highest) highest = value;
  }
  if (!(highest - lowest > LEAST_SWING_KPA)) return 0;
  const total = squares - (sum * sum) / points;
  if (!(total > 0)) return 0;
  let between = 0;
  let used = 0;
  for (let bin = 0; bin < bins; bin++) {
    if (counts[bin]! > 0) {
      between += (sums[bin]! * sums[bin]!) / counts[bin]!;
      used++;
    }
  }
  if (points - used < 2) return 0;
  const within = (squares - between) / (points - used);
  const explained = 1 - within / (total / (points - 1));
  // Few samples in many bins explain something by chance: count on the unlucky side of that.
  const chance = (CHANCE_SIGMAS * Math.sqrt(2 * (used - 1))) / points;
  // A short window that caught only the quiet part of a pulse explains nothing of the whole.
  const share = total / (points * Math.max(1e-12, LEAST_SHARE * overall));
  return Math.max(0, explained - chance * (1 - explained)) * Math.min(1, share);
}

/** Variance of one channel over the last second [kPa²]. */
function overallVariance(history: SampleHistory, channel: number, endS: number): number {
  const { values, mask } = history.column(channel);
  const lastRow = history.finalRows - 1;
  const firstRow = Math.max(history.firstRow, history.rowAtOrBefore(channel, endS - 1) + 1);
  const stride = Math.max(1, Math.floor((lastRow - firstRow) / MOST_POINTS));
  const shift = values[lastRow & mask]!;
  let count = 0;
  let sum = 0;
  let squares = 0;
  for (let row = firstRow; row <= lastRow; row += stride) {
    const value = values[row & mask]! - shift;
    count++;
    sum += value;
    squares += value * value;
  }
  return count < 2 ? 0 : (squares - (sum * sum) / count) / (count - 1);
}
