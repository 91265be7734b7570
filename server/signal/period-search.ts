/**
 * Finds the length of the engine cycle in a few cycles of pressure, with nothing known beforehand: the period whose
 * folded mean explains the pressure of all cylinders best (`folded-variance.ts`). All of them vote on one period, so
 * a dead one or a damped one does not matter.
 *
 * A period that fits fits twice and three times over as well; the shortest that explains nearly as much is taken.
 */
import { FoldedVariance } from './folded-variance.ts';
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
/** Before there are samples for three cycles of the slowest engine, only a fold this good is believed at once. */
const CLEAR_EXPLAINS = 0.85;
const UNCLEAR_AFTER_S = 1.5;
const FEWEST_CYCLES = 3;
/** Sparse sampling folds more cycles, up to so many, until there are so many samples. */
const SPARSE_CYCLES = 8;
const WANTED_POINTS = 64;
const COARSE_BINS = 12;
const FINE_BINS = 24;
/** A channel takes part if some period explains this much of it. */
const LEAST_EXPLAINED = 0.3;
/** A fraction of the best period is preferred if it explains this part of what the best one does. */
const PREFER_SHORTER = 0.84;
/** And a longer one that explains as much if its fold is smoother by this factor: the shorter is an alias of sparse sampling. */
const SMOOTHER = 0.6;
/** Fractions and multiples of the best trial that are tried. */
const MOST_FRACTION = 6;
const MOST_MULTIPLE = 4;
/** The neighbourhood of a trial is searched in so many steps of this size either side, relative. */
const FINE_STEPS = 10;
const FINE_STEP = 0.001;
/**
 * A found period must also explain this much of a longer stretch: a short one can fit the quiet part of a pulse by
 * chance, but never a whole pulse.
 */
const PROVEN_OVER_S = 0.4;
const PROVEN_OVER_CYCLES = 6;
const PROVEN_EXPLAINS = 0.25;
const FEWEST_ROWS = 12;
const SPARSE_SAMPLES = 16;
/** A period cut into as many parts as it has pulses must still explain this part of what it did. */
const STILL_EXPLAINS = 0.4;

/**
 * @param shortestS shortest period looked for [s]
 * @param longestS longest [s]
 * @param pulsesPerCycle per channel: 1, or as many as its shared manifold sees, evenly spaced
 * @returns null when no period explains the pressure
 */
export function searchPeriod(
  history: SampleHistory,
  shortestS: number,
  longestS: number,
  pulsesPerCycle: readonly number[],
): PeriodFound | null {
  if (history.finalRows - history.firstRow < FEWEST_ROWS) return null;
  const folds = new FoldedVariance(history);
  const longest = Math.min(longestS, folds.spanS / FEWEST_CYCLES);
  const { channels, pulses } = electorate(pulsesPerCycle);
  const shortest = shortestS / pulses;
  if (longest < shortest) return null;
  for (const { cycles, explains } of ATTEMPTS) {
    const windowOf = (periodS: number): number => {
      const sparseS = Math.min(SPARSE_CYCLES * periodS, WANTED_POINTS * history.usualIntervalS);
      return Math.min(folds.spanS, Math.max(cycles * periodS, sparseS));
    };
    const found = attempt(folds, shortest, longest, channels, windowOf);
    const needed = folds.spanS < UNCLEAR_AFTER_S ? Math.max(CLEAR_EXPLAINS, explains) : explains;
    if (found !== null && found.score >= needed && proven(folds, found)) {
      const periodS = pulses === 1 ? found.periodS : wholeCycleOf(folds, found, pulses, windowOf);
      if (periodS < shortestS || periodS > longestS) return null;
      return {
        periodS,
        fromS: folds.endS - Math.min(folds.spanS, Math.max(cycles, SPARSE_CYCLES) * periodS),
        explained: pulsesPerCycle.map((_, channel) =>
          folds.explained(channel, periodS, windowOf(periodS), FINE_BINS),
        ),
      };
    }
  }
  return null;
}

/**
 * Whether a period that is being followed is still the shortest that explains the pressure: neither a multiple of the
 * true one nor a fraction of it.
 */
export function periodStillHolds(
  history: SampleHistory,
  periodS: number,
  pulsesPerCycle: readonly number[],
  shortestS: number,
): boolean {
  const folds = new FoldedVariance(history);
  const { channels, pulses } = electorate(pulsesPerCycle);
  // The pulses of a shared manifold look alike: then a part of the cycle always explains it too.
  if (pulses > 1 || folds.spanS < 2 * FEWEST_CYCLES * periodS) return true;
  const windowS = Math.min(folds.spanS, SPARSE_CYCLES * periodS);
  const explained = (trialS: number, channel: number): number =>
    folds.explained(channel, trialS, windowS, COARSE_BINS);
  const voters = channels.filter(
    (channel) => Math.max(explained(periodS, channel), explained(2 * periodS, channel)) >= LEAST_EXPLAINED,
  );
  if (voters.length === 0) return true;
  const score = (trialS: number): number => pooled(voters.map((channel) => explained(trialS, channel)));
  const roughness = (trialS: number): number => pooledRoughness(folds, voters, trialS, windowS, COARSE_BINS);
  const present = { periodS, score: score(periodS) };
  // With few samples in a cycle, a small error of the period makes much of an alias.
  const sparse = periodS < SPARSE_SAMPLES * history.usualIntervalS;
  const others = [1 / 3, 1 / 2, 2, 3]
    .map((factor) => factor * periodS)
    .filter((otherS) => otherS >= shortestS)
    .map((otherS) => (sparse ? refine(otherS, score) : { periodS: otherS, score: score(otherS) }));
  // A speed that changes within the window blurs every fold: then nothing can be said.
  if (Math.max(present.score, ...others.map((other) => other.score)) < 2 * LEAST_EXPLAINED) return true;
  return simplest([...others, present], roughness).periodS === periodS;
}

interface Scored {
  readonly periodS: number;
  readonly score: number;
  readonly voters: readonly number[];
}

/** Who votes: the cylinders with a throttle of their own, or, where there is none, the taps of the shared manifold. */
function electorate(pulsesPerCycle: readonly number[]): {
  readonly channels: number[];
  readonly pulses: number;
} {
  const all = pulsesPerCycle.map((_, channel) => channel);
  const own = all.filter((channel) => pulsesPerCycle[channel] === 1);
  return own.length > 0
    ? { channels: own, pulses: 1 }
    : { channels: all, pulses: Math.max(...pulsesPerCycle) };
}

/**
 * A shared manifold shows the period of its pulses, or of the whole cycle where they differ, or something between. Its
 * own parts tell which: a period with j pulses in it still explains something when it is cut into j.
 */
function wholeCycleOf(
  folds: FoldedVariance,
  found: Scored,
  pulses: number,
  windowOf: (periodS: number) => number,
): number {
  const windowS = windowOf(found.periodS);
  const score = (periodS: number): number =>
    pooled(found.voters.map((c) => folds.explained(c, periodS, windowS, FINE_BINS)));
  const roughness = (periodS: number): number =>
    pooledRoughness(folds, found.voters, periodS, windowS, FINE_BINS);
  const whole = roughness(found.periodS);
  for (let inside = pulses; inside >= 2; inside--) {
    const part = refine(found.periodS / inside, score);
    if (part.score >= STILL_EXPLAINS * found.score && roughness(part.periodS) < SMOOTHER * whole) {
      return (found.periodS * pulses) / inside;
    }
  }
  return found.periodS * pulses;
}

function attempt(
  folds: FoldedVariance,
  shortestS: number,
  longestS: number,
  channels: readonly number[],
  windowOf: (periodS: number) => number,
): Scored | null {
  const trials = Math.ceil(Math.log(longestS / shortestS) / TRIAL_STEP) + 1;
  const table = channels.map(() => new Float64Array(trials));
  const best = channels.map(() => 0);
  for (let trial = 0; trial < trials; trial++) {
    const periodS = shortestS * Math.exp(trial * TRIAL_STEP);
    channels.forEach((channel, index) => {
      const explained = folds.explained(channel, periodS, windowOf(periodS), COARSE_BINS);
      table[index]![trial] = explained;
      if (explained > best[index]!) best[index] = explained;
    });
  }
  const seats = channels.map((_, index) => index).filter((index) => best[index]! >= LEAST_EXPLAINED);
  const voters = seats.map((index) => channels[index]!);
  if (voters.length === 0) return null;
  let bestTrial = 0;
  let bestScore = -1;
  for (let trial = 0; trial < trials; trial++) {
    const score = pooled(seats.map((index) => table[index]![trial]!));
    if (score > bestScore) {
      bestScore = score;
      bestTrial = trial;
    }
  }
  const score = (periodS: number): number =>
    pooled(voters.map((c) => folds.explained(c, periodS, windowOf(periodS), FINE_BINS)));
  const top = refine(shortestS * Math.exp(bestTrial * TRIAL_STEP), score);
  const candidates = [top];
  for (let part = 2; part <= MOST_FRACTION; part++) {
    if (top.periodS / part >= shortestS) candidates.push(refine(top.periodS / part, score));
  }
  for (let times = 2; times <= MOST_MULTIPLE; times++) {
    if (top.periodS * times <= longestS) candidates.push(refine(top.periodS * times, score));
  }
  const roughness = (periodS: number): number =>
    pooledRoughness(folds, voters, periodS, windowOf(periodS), FINE_BINS);
  return { ...simplest(candidates, roughness), voters };
}

interface Candidate {
  readonly periodS: number;
  readonly score: number;
}

/** The shortest candidate that explains nearly as much as any, unless a longer one folds into a much smoother pulse. */
function simplest(candidates: readonly Candidate[], roughness: (periodS: number) => number): Candidate {
  const most = Math.max(...candidates.map((one) => one.score));
  const good = candidates
    .filter((one) => one.score >= PREFER_SHORTER * most)
    .sort((a, b) => a.periodS - b.periodS);
  let chosen = good[0]!;
  let rough = roughness(chosen.periodS);
  for (const longer of good.slice(1)) {
    const its = roughness(longer.periodS);
    if (its < SMOOTHER * rough) {
      chosen = longer;
      rough = its;
    }
  }
  return chosen;
}

function proven(folds: FoldedVariance, found: Scored): boolean {
  const windowS = Math.min(folds.spanS, Math.max(PROVEN_OVER_S, PROVEN_OVER_CYCLES * found.periodS));
  const explained = found.voters.map((channel) =>
    folds.explained(channel, found.periodS, windowS, COARSE_BINS),
  );
  return pooled(explained) >= PROVEN_EXPLAINS;
}

/** Mean over the channels, the worst of three or more left out: one cylinder that fires every other time must not double the period. */
function pooled(explained: readonly number[]): number {
  const sum = explained.reduce((total, value) => total + value, 0);
  if (explained.length < 3) return sum / explained.length;
  return (sum - Math.min(...explained)) / (explained.length - 1);
}

/** The same of the roughness of their folds, of which the largest is the worst. */
function pooledRoughness(
  folds: FoldedVariance,
  channels: readonly number[],
  periodS: number,
  windowS: number,
  bins: number,
): number {
  return -pooled(channels.map((channel) => -folds.roughness(channel, periodS, windowS, bins)));
}

function refine(
  aroundS: number,
  score: (periodS: number) => number,
): { readonly periodS: number; readonly score: number } {
  let best = { periodS: aroundS, score: score(aroundS) };
  for (let step = -FINE_STEPS; step <= FINE_STEPS; step++) {
    const periodS = aroundS * (1 + step * FINE_STEP);
    const trial = score(periodS);
    if (trial > best.score) best = { periodS, score: trial };
  }
  return best;
}
