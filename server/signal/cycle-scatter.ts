/**
 * What a series of cycles has taught about its own scatter: standard deviation and the autocorrelation of neighbours,
 * kept over changes of level, since the engine that scatters is the same.
 */
import type { Scatter } from './series-mean.ts';

/** Memory, in values. */
const MEMORY = 250;
const LEAST_SD = 0.01;
/** Mean absolute successive difference of independent normal values, in standard deviations: 2/√π. */
const DIFFERENCE_PER_SD = 2 / Math.sqrt(Math.PI);
/** Values off by more than this many standard deviations count as this many. */
const CLIP_SIGMAS = 3;
/** The first differences are taken as they are. */
const UNCLIPPED = 4;
/** An autocorrelation found in so many pairs counts half. */
const DOUBTED_PAIRS = 15;
const LEAST_RHO = -0.5;
const MOST_RHO = 0.9;
/** How much larger the scatter is taken while it rests on few values, as in Student's t. */
const FEW_VALUES_CAUTION = 6;
const CAUTION_FROM = 3;

export class CycleScatter {
  /** Values learned about their level, with their neighbours. */
  pairs = 0;
  #differences = 0;
  #shortSd = 0;
  #variance = 0;
  #covariance = 0;

  /** Two values that follow each other, whatever the level: known at once, but blind to slow wander. */
  learnDifference(value: number, before: number): void {
    const difference = Math.abs(value - before) / DIFFERENCE_PER_SD;
    const clipped = Math.min(difference, CLIP_SIGMAS * Math.max(LEAST_SD, this.#shortSd));
    const rate = Math.max(1 / MEMORY, 1 / (this.#differences + 1));
    this.#shortSd += rate * ((this.#differences < UNCLIPPED ? difference : clipped) - this.#shortSd);
    this.#differences++;
  }

  /**
   * A value and the one before it, by how much they are off their level. Only values that are old enough to be known
   * not to belong to a change: else a change would be taken for scatter, and hide itself.
   */
  learnPair(off: number, offBefore: number): void {
    const bar = CLIP_SIGMAS * this.sd;
    const clipped = Math.max(-bar, Math.min(bar, off));
    const before = Math.max(-bar, Math.min(bar, offBefore));
    const rate = Math.max(1 / MEMORY, 1 / (this.pairs + 1));
    this.#variance += rate * (clipped * clipped - this.#variance);
    this.#covariance += rate * (clipped * before - this.#covariance);
    this.pairs++;
  }

  get sd(): number {
    return Math.max(LEAST_SD, this.#shortSd, Math.sqrt(this.#variance));
  }

  /** Autocorrelation of neighbours, doubted while it rests on few pairs. */
  get rho(): number {
    if (!(this.#variance > 0)) return 0;
    const trust = this.pairs / (this.pairs + DOUBTED_PAIRS);
    return trust * Math.max(LEAST_RHO, Math.min(MOST_RHO, this.#covariance / this.#variance));
  }

  /** Factor by which deviations must exceed what they would otherwise, while little is known. */
  get caution(): number {
    return 1 + FEW_VALUES_CAUTION / (CAUTION_FROM + this.pairs);
  }

  /** For means of few values; null while nothing is known. */
  summary(): Scatter | null {
    if (this.pairs === 0) return null;
    const { rho } = this;
    return { sd: this.sd, tau: (1 + rho) / (1 - rho), count: Math.min(this.pairs, MEMORY) };
  }
}
