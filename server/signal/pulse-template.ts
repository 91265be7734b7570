/**
 * The usual pressure of one cylinder over the engine cycle: the mean of its last cycles, folded onto one.
 * It is what single pulses are measured against, and what the folded-waveform picture shows.
 *
 * Phase 0 is where the pressure falls most steeply: the intake valve has opened and the piston draws.
 */

export const TEMPLATE_BINS = 64;
const MASK = TEMPLATE_BINS - 1;
/** Cycles remembered, at least and at most; more when the sampling leaves few samples per cycle. */
const FEWEST_CYCLES = 12;
const MOST_CYCLES = 60;
/** Samples wanted in the memory of each bin. */
const WANTED_PER_BIN = 3;
/** A bin with less than this much weight borrows from its neighbours. */
const ENOUGH_WEIGHT = 1.5;
const WIDEST_REACH = 8;
/** With less a bin is not shown. */
const LEAST_WEIGHT = 0.3;

export class PulseTemplate {
  /** Smoothed mean pressure at phase j / TEMPLATE_BINS [kPa]. */
  readonly mean = new Float64Array(TEMPLATE_BINS);
  /** Its derivative by phase [kPa per cycle]. */
  readonly slope = new Float64Array(TEMPLATE_BINS);
  /** Highest minus lowest mean [kPa]. */
  depthKpa = 0;
  lowestKpa = Number.NaN;
  highestKpa = Number.NaN;
  /** Mean over the whole cycle [kPa]. */
  averageKpa = Number.NaN;
  /** Phase of the lowest pressure, 0-1 after the steepest fall. */
  lowestPhase = 0;
  /** Cycles folded in, not counting forgetting. */
  cycles = 0;
  readonly #weights = new Float64Array(TEMPLATE_BINS);
  readonly #sums = new Float64Array(TEMPLATE_BINS);
  readonly #squares = new Float64Array(TEMPLATE_BINS);

  /** Adds one sample at a phase (any real number; only its fraction counts). */
  add(phase: number, kpa: number): void {
    const position = (phase - Math.floor(phase)) * TEMPLATE_BINS;
    const bin = Math.floor(position) & MASK;
    const next = (bin + 1) & MASK;
    const share = position - Math.floor(position);
    this.#put(bin, 1 - share, kpa);
    this.#put(next, share, kpa);
  }

  /** Ends a cycle: older ones count a little less from now on. `samples` is how many this cycle brought. */
  endCycle(samples: number): void {
    const wanted = (WANTED_PER_BIN * TEMPLATE_BINS) / Math.max(1, samples);
    const memory = Math.min(MOST_CYCLES, Math.max(FEWEST_CYCLES, wanted));
    const keep = 1 - 1 / memory;
    for (let bin = 0; bin < TEMPLATE_BINS; bin++) {
      this.#weights[bin] = this.#weights[bin]! * keep;
      this.#sums[bin] = this.#sums[bin]! * keep;
      this.#squares[bin] = this.#squares[bin]! * keep;
    }
    this.cycles++;
    this.settle();
  }

  /** Brings mean, slope and depth up to date with what was added. */
  settle(): void {
    for (let bin = 0; bin < TEMPLATE_BINS; bin++) this.mean[bin] = this.#smoothed(bin);
    let lowest = Number.POSITIVE_INFINITY;
    let highest = Number.NEGATIVE_INFINITY;
    let total = 0;
    for (let bin = 0; bin < TEMPLATE_BINS; bin++) {
      const value = this.mean[bin]!;
      total += value;
      this.slope[bin] = 0.5 * TEMPLATE_BINS * (this.mean[(bin + 1) & MASK]! - this.mean[(bin - 1) & MASK]!);
      if (value < lowest) {
        lowest = value;
        this.lowestPhase = bin / TEMPLATE_BINS;
      }
      if (value > highest) highest = value;
    }
    this.averageKpa = total / TEMPLATE_BINS;
    this.lowestKpa = lowest;
    this.highestKpa = highest;
    this.depthKpa = highest - lowest;
  }

  /** Phase of the steepest fall, to a fraction of a bin. */
  steepestFall(): number {
    let best = 0;
    for (let bin = 1; bin < TEMPLATE_BINS; bin++) if (this.slope[bin]! < this.slope[best]!) best = bin;
    const before = this.slope[(best - 1) & MASK]!;
    const after = this.slope[(best + 1) & MASK]!;
    const bend = before - 2 * this.slope[best]! + after;
    const part = bend > 0 ? (0.5 * (before - after)) / bend : 0;
    return (best + Math.max(-0.5, Math.min(0.5, part))) / TEMPLATE_BINS;
  }

  /** Spread of single samples about the mean at each bin [kPa, 1 sd]; null where too few are known. */
  spread(): (number | null)[] {
    return Array.from({ length: TEMPLATE_BINS }, (_, bin) => {
      const weight = this.#weights[bin]!;
      if (weight < ENOUGH_WEIGHT) return null;
      const mean = this.#sums[bin]! / weight;
      return Math.sqrt(Math.max(0, this.#squares[bin]! / weight - mean * mean));
    });
  }

  /** Mean at each bin as folded, unsmoothed [kPa]; null where nothing is known. */
  folded(): (number | null)[] {
    return Array.from({ length: TEMPLATE_BINS }, (_, bin) =>
      this.#weights[bin]! > LEAST_WEIGHT ? this.#sums[bin]! / this.#weights[bin]! : null,
    );
  }

  #put(bin: number, weight: number, kpa: number): void {
    this.#weights[bin] = this.#weights[bin]! + weight;
    this.#sums[bin] = this.#sums[bin]! + weight * kpa;
    this.#squares[bin] = this.#squares[bin]! + weight * kpa * kpa;
  }

  /** Weighted mean of the bin and its nearest neighbours, reaching further while it knows too little. */
  #smoothed(bin: number): number {
    for (let reach = 1; reach <= WIDEST_REACH; reach *= 2) {
      let weight = 2 * this.#weights[bin]!;
      let sum = 2 * this.#sums[bin]!;
      for (let step = 1; step <= reach; step++) {
        const share = reach === 1 ? 0.5 : 1 - step / (reach + 1);
        const left = (bin - step) & MASK;
        const right = (bin + step) & MASK;
        weight += share * (this.#weights[left]! + this.#weights[right]!);
        sum += share * (this.#sums[left]! + this.#sums[right]!);
      }
      if (weight >= ENOUGH_WEIGHT || reach === WIDEST_REACH) {
        if (weight > 0) return sum / weight;
      }
    }
    return this.mean[(bin - 1) & MASK]!;
  }
}
