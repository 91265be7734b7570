/**
 * How much the balance scatters from cycle to cycle, from neighbouring groups of cycles: unlike a deviation from the mean,
 * the difference of neighbours hardly shows that the level has changed, so that a change cannot hide itself.
 */
import type { Matrix } from '../../../calibration/solve-linear.ts';
import { addMatrices, identity, outer, scaleMatrix } from './gaussian.ts';

/** Cycles in a group: correlation of neighbouring cycles is within it. */
const GROUP_CYCLES = 5;
/** Groups that are remembered. */
const MEMORY_GROUPS = 40;
/** From so many differences on they speak alone. */
const ALONE_FROM = 8;
/** A difference counts as no more than so many standard deviations. */
const CLIP_SIGMAS = 3;
/** So many differences for each axis tell as much of the directions as the supposition that all are alike. */
const ALIKE_PER_AXIS = 2;

export class CycleSpread {
  #differences = 0;
  /** Covariance of one cycle, as if cycles were independent [kPa²]. */
  #covariance: Matrix = [];
  #sum: number[] = [];
  #cycles = 0;
  #last: readonly number[] | null = null;

  /** @param z mean of some cycles that follow those before [kPa] */
  push(z: readonly number[], cycles: number): void {
    if (this.#cycles === 0) this.#sum = z.map(() => 0);
    this.#cycles += cycles;
    for (const [axis, value] of z.entries()) this.#sum[axis]! += cycles * value;
    if (this.#cycles < GROUP_CYCLES) return;
    const group = this.#sum.map((value) => value / this.#cycles);
    if (this.#last !== null) this.#learn(group, this.#last, this.#cycles);
    this.#last = group;
    this.#cycles = 0;
  }

  /** The next cycles do not follow those before. */
  break(): void {
    this.#cycles = 0;
    this.#last = null;
  }

  /** Covariance of one cycle [kPa²], with what the reading says for as long as little is known. */
  covariance(ofReading: Matrix): Matrix {
    if (this.#differences === 0) return ofReading;
    const axes = ofReading.length;
    const trust = this.#differences / (this.#differences + ALIKE_PER_AXIS * axes);
    const alike = identity(axes, meanVariance(this.#covariance));
    const found = addMatrices(scaleMatrix(this.#covariance, trust), scaleMatrix(alike, 1 - trust));
    const own = Math.min(1, this.#differences / ALONE_FROM);
    return addMatrices(scaleMatrix(found, own), scaleMatrix(ofReading, 1 - own));
  }

  #learn(group: readonly number[], before: readonly number[], cycles: number): void {
    let seen = outer(
      group.map((value, axis) => value - before[axis]!),
      cycles / 2,
    );
    if (this.#differences === 0) this.#covariance = seen;
    const limit = CLIP_SIGMAS ** 2 * meanVariance(this.#covariance);
    const size = meanVariance(seen);
    if (this.#differences >= ALONE_FROM && size > limit) seen = scaleMatrix(seen, limit / size);
    this.#differences++;
    const rate = 1 / Math.min(this.#differences, MEMORY_GROUPS);
    this.#covariance = addMatrices(scaleMatrix(this.#covariance, 1 - rate), scaleMatrix(seen, rate));
  }
}

function meanVariance(covariance: Matrix): number {
  return covariance.reduce((sum, row, axis) => sum + row[axis]!, 0) / covariance.length;
}
