/** Standard deviations that a few values far off hardly move. */

/** Median of |Z| for a standard normal Z. */
const MEDIAN_OF_NORMAL = 0.6745;
/** Variance of a - 2b + c of independent values, in their own. */
const BEND_VARIANCE = 6;

/**
 * Standard deviation of normal values about 0, from the median of their sizes.
 *
 * @param values finite; of an even number the upper middle one counts
 * @returns 0 for no values
 */
export function sdFromMedian(values: readonly number[]): number {
  const sizes = values.map(Math.abs).sort((a, b) => a - b);
  return (sizes[sizes.length >> 1] ?? 0) / MEDIAN_OF_NORMAL;
}

/**
 * Standard deviation of the noise of a series from its median second difference, which neither drift nor a
 * few steps move. What is not finite is left out; 0 for fewer than three values.
 */
export function noiseOfSeries(values: readonly number[]): number {
  const bends: number[] = [];
  for (let at = 1; at + 1 < values.length; at++) {
    const bend = values[at - 1]! - 2 * values[at]! + values[at + 1]!;
    if (Number.isFinite(bend)) bends.push(bend);
  }
  return sdFromMedian(bends) / Math.sqrt(BEND_VARIANCE);
}
