/**
 * Probabilities corrected for how many were looked at: Holm's step-down (Scandinavian Journal of Statistics 6, 65
 * (1979)), with weights for the tests that matter more (section 3 there). The chance that any true nothing falls
 * below a level is at most that level, however the tests hang together.
 *
 * @param probabilities each 0…1
 * @param weights positive; a test with twice the weight is corrected half as much. Default: all alike
 * @returns adjusted ones in the same order, never less than the given when weights are alike
 * @throws RangeError when the weights do not fit
 * @example holm([0.01, 0.04, 0.03]) // [0.03, 0.06, 0.06]
 */
export function holm(probabilities: readonly number[], weights?: readonly number[]): number[] {
  const weight = weights ?? probabilities.map(() => 1);
  if (weight.length !== probabilities.length || !weight.every((w) => w > 0))
    throw new RangeError('Every probability needs a positive weight');
  const key = (at: number): number => probabilities[at]! / weight[at]!;
  const order = probabilities.map((_, at) => at).sort((a, b) => key(a) - key(b));
  const adjusted = probabilities.map(() => 1);
  let left = weight.reduce((sum, w) => sum + w, 0);
  let highest = 0;
  for (const at of order) {
    highest = Math.max(highest, Math.min(1, left * key(at)));
    adjusted[at] = highest;
    left -= weight[at]!;
  }
  return adjusted;
}
