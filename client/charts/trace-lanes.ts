import type { Cell } from './history-columns.ts';

/** Part of a lane that its trace fills; the rest keeps it off its neighbours. */
const FILL = 0.86;

/**
 * Traces one above the other: each cylinder in a lane of height 1, the first at the top, no vacuum at the foot of the lane and
 * the top of the scale at its head. What is beyond is drawn at the edge, so that it does not run into another's lane.
 * @param columns time first, then the vacuum of each cylinder [kPa]
 * @param topKpa top of the scale, greater than 0
 */
export function traceLanes(columns: readonly (readonly Cell[])[], topKpa: number): Cell[][] {
  const [times, ...traces] = columns;
  return [
    [...times!],
    ...traces.map((trace, cyl) => {
      const foot = laneFoot(cyl, traces.length);
      return trace.map((kpa) =>
        kpa === null ? null : foot + FILL * Math.max(-0.05, Math.min(1.05, kpa / topKpa)),
      );
    }),
  ];
}

/** Where no vacuum is drawn. */
export function laneFoot(cyl: number, cylinders: number): number {
  return cylinders - 1 - cyl + (1 - FILL) / 2;
}
