import type { Random } from './random.ts';

/** Part of the charge burnt over the burn angle, Wiebe's function with a = 5, m = 2 (Heywood 1988, eq. 9.35). */
export function wiebeFraction(burnt: number): number {
  if (burnt <= 0) return 0;
  if (burnt >= 1) return 1;
  return (1 - Math.exp(-5 * burnt * burnt * burnt)) / WIEBE_END;
}

const WIEBE_END = 1 - Math.exp(-5);

/**
 * How well each firing of one cylinder goes: a factor with mean 1, log-normal, each firing a little like the
 * one before it; 0 is a missed firing.
 */
export class FiringQuality {
  readonly #random: Random;
  #state: number;

  constructor(random: Random) {
    this.#random = random;
    this.#state = random.normal();
  }

  /**
   * @param scatter coefficient of variation, 0…0.5
   * @param correlation of neighbouring firings, -1…1
   * @param missedProbability 0…1
   */
  next(scatter: number, correlation: number, missedProbability: number): number {
    const fresh = Math.sqrt(1 - correlation * correlation);
    this.#state = correlation * this.#state + fresh * this.#random.normal();
    const missed = this.#random.uniform() < missedProbability;
    if (missed) return 0;
    const sigma = Math.sqrt(Math.log(1 + scatter * scatter));
    return Math.exp(sigma * this.#state - (sigma * sigma) / 2);
  }
}
