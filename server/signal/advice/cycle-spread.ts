/**
 * How much the balance scatters from cycle to cycle, from neighbouring groups of cycles: unlike a deviation from the mean,
 * the difference of neighbours hardly shows that the level has changed, so that a change cannot hide itself.
 */

/** Cycles in a group: correlation of neighbouring cycles is within it. */
const GROUP_CYCLES = 5;
/** Groups that are remembered. */
const MEMORY_GROUPS = 40;
/** From so many differences on they speak alone. */
const ALONE_FROM = 8;
/** A difference counts as no more than so many standard deviations. */
const CLIP_SIGMAS = 3;

export class CycleSpread {
  #differences = 0;
  /** Variance of one cycle along one axis, as if cycles were independent [kPa²]. */
  #variance = 0;
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

  /** Variance of one cycle along one axis [kPa²], with what the reading says for as long as little is known. */
  variance(ofReading: number): number {
    const own = Math.min(1, this.#differences / ALONE_FROM);
    return own * this.#variance + (1 - own) * ofReading;
  }

  #learn(group: readonly number[], before: readonly number[], cycles: number): void {
    const squares = group.reduce((sum, value, axis) => sum + (value - before[axis]!) ** 2, 0) / group.length;
    const seen = (cycles * squares) / 2;
    const most = this.#differences < ALONE_FROM ? seen : CLIP_SIGMAS ** 2 * this.#variance;
    this.#differences++;
    this.#variance += (Math.min(seen, most) - this.#variance) / Math.min(this.#differences, MEMORY_GROUPS);
  }
}
