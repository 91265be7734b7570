/**
 * Follows the level of a series of cycles: averages for as long as it does not change, and drops what is old as soon
 * as it does.
 *
 * After every value, the last m values are held against those before them, for several m: the generalised likelihood
 * ratio for a change of mean in a first-order autoregressive series (Basseville and Nikiforov, Detection of Abrupt
 * Changes, 1993, ch. 2.4 and 7.2), with the series' own scatter and autocorrelation. A single odd value never
 * counts as a change: a missed pulse is not a turned screw.
 */

import { CycleScatter } from './cycle-scatter.ts';
import type { Settling } from './reading.ts';
import { type SeriesMean, seriesMean } from './series-mean.ts';

/** Lengths of the newest stretch that are held against what went before, and how many standard errors make a change. */
const STRETCHES = [
  { values: 1, sigmas: 4.4 },
  { values: 2, sigmas: 4 },
  { values: 3, sigmas: 3.95 },
  { values: 5, sigmas: 4.2 },
  { values: 8, sigmas: 4.5 },
  { values: 16, sigmas: 4.7 },
  { values: 32, sigmas: 4.8 },
] as const;
/** The newest two must each stand off by this many standard deviations to count as a change together. */
const EACH_SIGMAS = 1.2;
/** Values before the stretch, at least. */
const LEAST_BEFORE = 3;
/** The first value of a young stretch goes if it stands off the rest by so much: the screw was still turning. */
const TRIM_SIGMAS = 3;
const TRIM_WHILE_YOUNG = 8;
/** The level is called steady after so many cycles without a change. */
export const STEADY_AFTER_CYCLES = 8;
/** And moving for so many after one. */
const MOVING_FOR_CYCLES = 2;
/** Values kept at most. */
const MOST_KEPT = 600;
/** While a stretch stands off this far, it may be a change: nothing is learned from it. */
const SUSPICIOUS_SIGMAS = 2.5;
/** Values this old are known not to belong to a change that is not found yet. */
const LEARNED_AFTER = 8;

export class LevelTracker {
  /** Values since the last change, oldest first. */
  readonly values: number[] = [];
  /** The same, but for doubtful ones, which count as on the level where a change is looked for. */
  readonly #tested: number[] = [];
  readonly #family: number;
  /** Changes found since the start. */
  changes = 0;
  /** Direction of the newest change: 1 up, -1 down, 0 none yet. */
  side = 0;
  #sinceChange = 0;
  #doubted = false;
  /** Most standard errors by which any newest stretch stood off, at the newest value. */
  #suspicion = 0;
  readonly #scatter = new CycleScatter();
  #cached: SeriesMean | null = null;

  /** @param family how many series are watched together: the more, the more each must show to count as changed */
  constructor(family = 1) {
    this.#family = 2 * Math.log(family);
  }

  /**
   * @param doubtful the value comes from a cycle with a missed or weak pulse, or the like: alone it proves nothing
   * @returns whether the level changed with this value
   */
  push(value: number, doubtful = false): boolean {
    this.#cached = null;
    // One doubtful value is no evidence; a second one right after it makes both of them count.
    const again = doubtful && this.#doubted;
    if (again && this.#tested.length > 0) this.#tested[this.#tested.length - 1] = this.values.at(-1)!;
    const alone = doubtful && !again && this.#tested.length >= LEAST_BEFORE;
    const tested = alone ? this.#meanBefore(0) : value;
    this.#doubted = doubtful;
    const last = this.#tested.at(-1);
    if (last !== undefined && !doubtful) this.#scatter.learnDifference(value, last);
    this.values.push(value);
    this.#tested.push(tested);
    if (this.values.length > MOST_KEPT) this.#drop(1);
    this.#sinceChange++;
    const stretch = this.#changedStretch();
    if (stretch > 0) {
      this.changeTo(stretch);
      return true;
    }
    if (this.#suspicion < SUSPICIOUS_SIGMAS) this.#learnOld();
    return this.#trim();
  }

  /** The level has changed, and only the newest values belong to the new one. */
  changeTo(keep: number): void {
    this.restart(keep);
    this.changes++;
  }

  /** Keeps only the newest values, as after a change that was seen elsewhere. */
  restart(keep: number): void {
    this.#drop(Math.max(0, this.values.length - keep));
    this.#sinceChange = 0;
    this.#cached = null;
    while (this.#trim());
  }

  get settling(): Settling {
    if (this.#sinceChange < MOVING_FOR_CYCLES && this.changes > 0) return 'moving';
    return this.values.length >= STEADY_AFTER_CYCLES ? 'steady' : 'settling';
  }

  /** Mean since the last change. */
  level(): SeriesMean {
    this.#cached ??= seriesMean(this.values, this.#scatter.summary());
    return this.#cached;
  }

  /** The oldest values go. */
  #drop(count: number): void {
    this.values.splice(0, count);
    this.#tested.splice(0, count);
  }

  /** Learns from the value that is old enough to be known not to belong to a change. */
  #learnOld(): void {
    const values = this.#tested;
    const at = values.length - 1 - LEARNED_AFTER;
    if (at < LEAST_BEFORE) return;
    const level = this.#meanBefore(LEARNED_AFTER);
    // Deviations from the mean of n values are short of those from the true level.
    const widen = Math.sqrt((at + 1) / at);
    this.#scatter.learnPair((values[at]! - level) * widen, (values[at - 1]! - level) * widen);
  }

  /** Length of the newest stretch that stands on another level, 0 when none does. */
  #changedStretch(): number {
    let best = 0;
    let bestZ = 1;
    this.#suspicion = 0;
    for (const { values: m, sigmas } of STRETCHES) {
      if (this.values.length - m < LEAST_BEFORE) break;
      const signed = this.standsOff(m);
      this.#suspicion = Math.max(this.#suspicion, Math.abs(signed));
      const z = Math.abs(signed) / Math.sqrt(sigmas * sigmas + this.#family);
      if (z <= bestZ) continue;
      if (m === 2 && !this.#bothStandOff(Math.sign(signed))) continue;
      best = m;
      bestZ = z;
      this.side = Math.sign(signed);
    }
    return best;
  }

  /**
   * How many standard errors the newest m values stand off from those before them, upwards positive; 0 when there is too
   * little to tell.
   */
  standsOff(m: number): number {
    const values = this.#tested;
    const n = values.length;
    if (n - m < LEAST_BEFORE) return 0;
    const { sd, caution } = this.#scatter;
    const rho = Math.max(0, this.#scatter.rho);
    const before = this.#meanBefore(m);
    // A step of 1 shows in the innovations as 1 at its first value and as 1 - rho in the others.
    let seen = 0;
    let squares = 0;
    let sum = 0;
    for (let back = m; back >= 1; back--) {
      const innovation = values[n - back]! - before - rho * (values[n - back - 1]! - before);
      const weight = back === m ? 1 : 1 - rho;
      seen += weight * innovation;
      squares += weight * weight;
      sum += weight;
    }
    const ofInnovations = sd * Math.sqrt((1 - rho * rho) * squares);
    const ofBefore = sum * (1 - rho) * sd * Math.sqrt(meanVariance(n - m, rho));
    return seen / (caution * Math.hypot(ofInnovations, ofBefore));
  }

  #meanBefore(m: number): number {
    const values = this.#tested;
    let total = 0;
    for (let index = 0; index < values.length - m; index++) total += values[index]!;
    return total / (values.length - m);
  }

  #bothStandOff(side: number): boolean {
    const before = this.#meanBefore(2);
    const last = (this.#tested.at(-1)! - before) * side;
    const beforeLast = (this.#tested.at(-2)! - before) * side;
    return Math.min(last, beforeLast) > EACH_SIGMAS * this.#scatter.sd;
  }

  /** Drops the oldest value of a young stretch when it belongs to the change itself. */
  #trim(): boolean {
    const values = this.#tested;
    const n = values.length;
    if (this.changes === 0 && this.#sinceChange > 0) return false;
    if (n < 2 || n > TRIM_WHILE_YOUNG) return false;
    let rest = 0;
    for (let index = 1; index < n; index++) rest += values[index]!;
    rest /= n - 1;
    if (Math.abs(values[0]! - rest) <= TRIM_SIGMAS * this.#scatter.sd * Math.sqrt(1 + 1 / (n - 1)))
      return false;
    this.#drop(1);
    this.#cached = null;
    return true;
  }
}

/** Variance of the mean of m values of a first-order autoregressive series, in variances of one value. */
function meanVariance(m: number, rho: number): number {
  if (rho === 0) return 1 / m;
  // Closed form of (1 + 2 Σ (1 - k/m) ρ^k) / m.
  const power = rho ** m;
  return ((1 + rho) / (1 - rho) - (2 * rho * (1 - power)) / (m * (1 - rho) * (1 - rho))) / m;
}
