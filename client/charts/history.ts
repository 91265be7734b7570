import { computed, effect } from '@preact/signals';
import type { Update } from '../../server/contract/live.ts';
import { onUpdate, serverStartId, setup } from '../link/latest.ts';
import { cycleGapsKpa } from './cycle-gaps.ts';
import { HistoryColumns } from './history-columns.ts';

/** Time that the chart shows [s]. */
export const HISTORY_S = 60;
/** One row per engine cycle, but not more than this often: more cannot be seen [s]. */
const ROW_EVERY_S = 0.1;
/** A step in time longer than this is a gap in the lines [s]. */
const GAP_S = 1;
/** Readings come this often; until the next is overdue, now is when the last was [ms]. */
const USUAL_STEP_MS = 150;
const ROWS = Math.ceil(HISTORY_S / ROW_EVERY_S) + 20;

let cylinders = 4;
let columns = new HistoryColumns(2 * cylinders, ROWS);
let lastCycles = -1;
let newestTimeS = 0;
let heardAtMs = 0;

/** Columns: time, the settled gap of each cylinder, the gap of each one's last cycle [kPa]. */
export function historyColumns(): HistoryColumns {
  return columns;
}

export function historyCylinders(): number {
  return cylinders;
}

export function followHistory(): void {
  onUpdate((update) => {
    if (update === null) columns.break();
    else take(update);
  });
  // Against another reference, or from another engine, the old lines would mean something else.
  const sameLines = computed(
    () => `${serverStartId.value} ${setup.value?.reference} ${setup.value?.cylinders}`,
  );
  effect(() => {
    sameLines.value;
    columns.clear();
  });
}

/** Board time now [s]. It goes on when readings stop, so that an old line moves away from the present. */
export function historyNowS(): number {
  return newestTimeS + Math.max(0, performance.now() - heardAtMs - USUAL_STEP_MS) / 1000;
}

function take(update: Update): void {
  newestTimeS = update.timeS;
  heardAtMs = performance.now();
  if (update.cylinders.length !== cylinders) {
    cylinders = update.cylinders.length;
    columns = new HistoryColumns(2 * cylinders, ROWS);
  }
  const newest = columns.newestS;
  const back = newest !== null && update.timeS < newest;
  if (newest !== null && !back) {
    if (update.timeS - newest > GAP_S) columns.break();
    const lost = update.cylinders.some(({ gapKpa }, cyl) => gapKpa === null && newestGapKpa(cyl) !== null);
    if (!lost && (update.timeS - newest < ROW_EVERY_S || update.engine.cycles === lastCycles)) return;
    if (update.timeS === newest) return;
  }
  lastCycles = update.engine.cycles;
  columns.push(update.timeS, [
    ...update.cylinders.map(({ gapKpa }) => gapKpa),
    ...cycleGapsKpa(update, setup.peek()?.reference ?? 'mean'),
  ]);
}

function newestGapKpa(cyl: number): number | null {
  return columns.columns[1 + cyl]!.at(-1) ?? null;
}
