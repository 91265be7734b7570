/** Bounds of the wait before the connection is tried again [ms]. It is tried for ever. */
export const FIRST_DELAY_MS = 250;
export const LONGEST_DELAY_MS = 5_000;

/**
 * Doubles with every attempt up to a bound. Half of it is left to chance, so that the screens of a shop do not
 * all come back in the same instant.
 * @param attempt 0 for the first try after a loss
 * @param chance 0 … 1
 */
export function reconnectDelayMs(attempt: number, chance: number): number {
  const bound = Math.min(LONGEST_DELAY_MS, FIRST_DELAY_MS * 2 ** Math.min(attempt, 16));
  return bound * (0.5 + 0.5 * chance);
}
