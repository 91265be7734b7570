import type uPlot from 'uplot';
import { EDGE_COLOUR } from './chart-ink.ts';
import { cylinderStyle, lineColour } from './cylinder-style.ts';
import type { Cell, HistoryColumns } from './history-columns.ts';
import { thinRows } from './thin-rows.ts';

const SETTLED_WIDTH = 3;

type Theme = 'light' | 'dark';

/** Series behind to front: an edge under pale lines, settled differences. The first is the time. */
export function chartSeries(cylinders: number, theme: Theme): uPlot.Series[] {
  const all = Array.from({ length: cylinders }, (_, cyl) => cyl);
  const plain = { points: { show: false }, spanGaps: false, pxAlign: 0 };
  return [
    {},
    ...edged(cylinders, theme).map((cyl) => ({
      ...plain,
      stroke: EDGE_COLOUR,
      width: SETTLED_WIDTH + 2,
      dash: [...cylinderStyle(cyl).dash],
    })),
    ...all.map((cyl) => ({
      ...plain,
      stroke: lineColour(cyl, theme),
      width: SETTLED_WIDTH,
      dash: [...cylinderStyle(cyl).dash],
    })),
  ];
}

/**
 * The history's columns in the order of `chartSeries`.
 * @param stepS time that one pixel stands for [s]: more rows than pixels only make the drawing slow
 */
export function chartColumns(
  { columns }: HistoryColumns,
  cylinders: number,
  { theme, stepS }: { readonly theme: Theme; readonly stepS: number },
): uPlot.AlignedData {
  const all = columns.slice(0, 1 + cylinders);
  const rows = thinRows(all, stepS);
  const [times, ...settled] = all.map((column) => rows.map((row) => column[row]!));
  const edges = edged(cylinders, theme).map((cyl) => settled[cyl]!);
  return [times as number[], ...([...edges, ...settled] as Cell[][])];
}

function edged(cylinders: number, theme: Theme): number[] {
  if (theme === 'dark') return [];
  return Array.from({ length: cylinders }, (_, cyl) => cyl).filter((cyl) => cylinderStyle(cyl).pale);
}
