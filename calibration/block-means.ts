/** Means of short stretches of a record, on which movement is told from noise. */
export interface Block {
  /** Rows from … to - 1 of the record. */
  readonly from: number;
  readonly to: number;
  readonly startS: number;
  readonly endS: number;
  /** Mean of each channel; NaN where one has no sample [kPa]. */
  readonly channelKpa: readonly number[];
  /** Mean over the channels [kPa]; NaN where one is missing. */
  readonly meanKpa: number;
}

export const BLOCK_S = 0.1;

/**
 * @param timeS growing [s]
 * @param columnsKpa one per channel, as long as `timeS`; NaN for a missing sample
 */
export function blockMeans(timeS: ArrayLike<number>, columnsKpa: readonly ArrayLike<number>[]): Block[] {
  const blocks: Block[] = [];
  let from = 0;
  while (from < timeS.length) {
    let to = from + 1;
    while (to < timeS.length && timeS[to]! - timeS[from]! < BLOCK_S) to++;
    const channelKpa = columnsKpa.map((column) => meanOfRows(column, from, to));
    const meanKpa = channelKpa.reduce((sum, value) => sum + value, 0) / channelKpa.length;
    blocks.push({ from, to, startS: timeS[from]!, endS: timeS[to - 1]!, channelKpa, meanKpa });
    from = to;
  }
  return blocks;
}

function meanOfRows(column: ArrayLike<number>, from: number, to: number): number {
  let sum = 0;
  let count = 0;
  for (let row = from; row < to; row++) {
    const value = column[row]!;
    if (Number.isFinite(value)) {
      sum += value;
      count++;
    }
  }
  return count > 0 ? sum / count : Number.NaN;
}
