import type { SampleHistory } from './sample-history.ts';

/** Samples looked at, at most. */
const MOST_POINTS = 250;

/** Largest swing of any channel over the last second [kPa]. */
export function pressureSwingKpa(history: SampleHistory, timeS: number): number {
  const fromRow = Math.max(history.firstRow, history.rowAtOrBefore(0, timeS - 1) + 1);
  const stride = Math.max(1, Math.floor((history.finalRows - fromRow) / MOST_POINTS));
  let largest = 0;
  for (let channel = 0; channel < history.channels; channel++) {
    let lowest = Number.POSITIVE_INFINITY;
    let highest = Number.NEGATIVE_INFINITY;
    for (let row = fromRow; row < history.finalRows; row += stride) {
      const value = history.value(channel, row);
      if (value < lowest) lowest = value;
      if (value > highest) highest = value;
    }
    largest = Math.max(largest, highest - lowest);
  }
  return largest;
}
