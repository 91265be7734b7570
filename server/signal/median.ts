/** Middle one of the values, or the mean of the two in the middle; null for none. @param values finite, in any order */
export function median(values: readonly number[]): number | null {
  if (values.length === 0) return null;
  const sorted = [...values].sort((a, b) => a - b);
  return 0.5 * (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!);
}
