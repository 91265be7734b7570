/** Samples that are looked at: two seconds of a usual board. */
export const NOISE_WINDOW = 1_024;
/** With fewer nothing is said. */
const FEWEST = 64;
/** Largest share of the differences that an engine's steep falls may spoil. */
const SPOILT_SHARE = 0.2;
/**
 * Root mean square of a standard normal variable within its central 80 %, |z| < 1.28155: √(1 - 2 z φ(z) / 0.8), with
 * φ(1.28155) = 0.17550.
 */
const CENTRAL_RMS = Math.sqrt(1 - (2 * 1.28155 * 0.1755) / 0.8);
/** Variance of a third difference a - 3b + 3c - d of independent values, in their own: 1 + 9 + 9 + 1. */
const THIRD_DIFFERENCE = Math.sqrt(20);

/**
 * Noise of single samples under a signal that moves: third differences take out what goes in parabolas, and the
 * largest of them, where a pulse falls, are left out.
 */
export class SampleNoise {
  readonly #ring = new Float64Array(NOISE_WINDOW).fill(Number.NaN);
  #at = 0;

  push(value: number): void {
    this.#ring[this.#at] = value;
    this.#at = (this.#at + 1) % NOISE_WINDOW;
  }

  /** The next sample does not join on. */
  break(): void {
    this.push(Number.NaN);
  }

  /** Standard deviation of single samples; null where too few are there. */
  sd(): number | null {
    const at = (index: number) => this.#ring[(this.#at + index) % NOISE_WINDOW]!;
    const squares: number[] = [];
    for (let index = 3; index < NOISE_WINDOW; index++) {
      const difference = at(index) - 3 * at(index - 1) + 3 * at(index - 2) - at(index - 3);
      if (Number.isFinite(difference)) squares.push(difference ** 2);
    }
    if (squares.length < FEWEST) return null;
    squares.sort((a, b) => a - b);
    const used = squares.slice(0, Math.round(squares.length * (1 - SPOILT_SHARE)));
    const rms = Math.sqrt(used.reduce((sum, square) => sum + square, 0) / used.length);
    return rms / (CENTRAL_RMS * THIRD_DIFFERENCE);
  }
}
