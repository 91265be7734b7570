/**
 * The two-sided tabular cumulative-sum chart for the mean of independent normal values whose level and standard
 * deviation are known: C+ = max(0, C+ + z - k), C- = max(0, C- - z - k), an alarm above h (Page 1954;
 * Montgomery, Introduction to Statistical Quality Control, ch. 9). The reference that a change detector is held against.
 */
export class TwoSidedCusum {
  #above = 0;
  #below = 0;
  readonly #allowance: number;
  readonly #decision: number;

  /** @param allowance k, @param decision h, both in standard deviations */
  constructor(allowance: number, decision: number) {
    this.#allowance = allowance;
    this.#decision = decision;
  }

  /** @param z value off the known level, in standard deviations @returns whether the chart is above its decision interval */
  push(z: number): boolean {
    this.#above = Math.max(0, this.#above + z - this.#allowance);
    this.#below = Math.max(0, this.#below - z - this.#allowance);
    return Math.max(this.#above, this.#below) > this.#decision;
  }
}

/**
 * Average run lengths for k = 0.5, by h and by the shift in standard deviations: Montgomery, Table 9.3, the further
 * digits by the Markov chain of Brook and Evans (Biometrika 59, 1972) with 400 states.
 */
export const PUBLISHED_RUN_LENGTHS = {
  4: { 0: 167.68, 0.5: 26.6, 1: 8.38, 2: 3.34, 3: 2.19 },
  5: { 0: 465.43, 0.5: 38.0, 1: 10.4, 2: 4.01, 3: 2.57 },
} as const;
