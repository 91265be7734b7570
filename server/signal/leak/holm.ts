/**
 * Probabilities corrected for how many were looked at: Holm's step-down (Scandinavian Journal of Statistics 6, 65
 * (1979)). The chance that any true nothing falls below a level is at most that level, however the tests hang together.
 *
 * @param probabilities each 0…1
 * @returns adjusted ones in the same order, never less than the given
 * @example holm([0.01, 0.04, 0.03]) // [0.03, 0.06, 0.06]
 */
export function holm(probabilities: readonly number[]): number[] {
  const order = probabilities.map((_, at) => at).sort((a, b) => probabilities[a]! - probabilities[b]!);
  const adjusted = new Array<number>(probabilities.length).fill(1);
  let highest = 0;
  order.forEach((at, rank) => {
    highest = Math.max(highest, Math.min(1, (probabilities.length - rank) * probabilities[at]!));
    adjusted[at] = highest;
  });
  return adjusted;
}
