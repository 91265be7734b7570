import type { Cell } from './history-columns.ts';

/**
 * The rows that a line needs which is drawn with one point per pixel: the first of every step in time, the newest, and each
 * one at which a series begins or ends, so that gaps stay where they are. By time and not by place, so that a line does not
 * shimmer as it moves along.
 * @param columns time first [s], oldest row first
 * @param stepS time that one pixel stands for [s]
 * @returns places in the columns, in order
 */
export function thinRows(columns: readonly (readonly Cell[])[], stepS: number): number[] {
  const times = columns[0]!;
  const kept: number[] = [];
  let step = Number.NaN;
  for (let row = 0; row < times.length; row++) {
    const now = Math.floor(times[row]! / stepS);
    const differs = now !== step || row === times.length - 1 || changesAt(columns, row);
    step = now;
    if (differs) kept.push(row);
  }
  return kept;
}

/** Whether a series is there in one of this row and its neighbours and not in the other. */
function changesAt(columns: readonly (readonly Cell[])[], row: number): boolean {
  for (let at = 1; at < columns.length; at++) {
    const column = columns[at]!;
    const missing = column[row] === null;
    if (row > 0 && (column[row - 1] === null) !== missing) return true;
    if (row + 1 < column.length && (column[row + 1] === null) !== missing) return true;
  }
  return false;
}
