import type uPlot from 'uplot';
import { lineColour } from './cylinder-style.ts';
import type { HistoryColumns } from './history-columns.ts';

/** Single cycles are dots behind the settled line: restless, and not to be mistaken for the reading [px]. */
const DOT = 2.4;
const ALPHA = 0.55;

export interface CycleDots {
  readonly history: HistoryColumns;
  readonly cylinders: number;
  readonly theme: 'light' | 'dark';
}

/** Draws the last cycles of every cylinder as dots. Plain squares: thousands of circles would keep an old laptop busy. */
export function drawCycleDots(
  ctx: CanvasRenderingContext2D,
  chart: uPlot,
  { history: { columns }, cylinders, theme }: CycleDots,
): void {
  const { bbox } = chart;
  const { x: time, y: value } = chart.scales;
  if (time?.min == null || time.max == null || value?.min == null || value.max == null) return;
  const times = columns[0] as readonly number[];
  const { min: firstS, max: lastS } = time;
  const { min: leastKpa, max: mostKpa } = value;
  const perS = bbox.height / (lastS - firstS);
  const perKpa = bbox.width / (mostKpa - leastKpa);
  const side = DOT * devicePixelRatio;
  let from = 0;
  while (from < times.length && times[from]! < firstS) from++;

  ctx.save();
  ctx.globalAlpha = ALPHA;
  for (let cyl = 0; cyl < cylinders; cyl++) {
    const column = columns[1 + cylinders + cyl]!;
    ctx.fillStyle = lineColour(cyl, theme);
    for (let row = from; row < times.length; row++) {
      const kpa = column[row];
      if (kpa == null || kpa < leastKpa || kpa > mostKpa) continue;
      const x = bbox.left + (kpa - leastKpa) * perKpa;
      const y = bbox.top + (lastS - times[row]!) * perS;
      ctx.fillRect(x - side / 2, y - side / 2, side, side);
    }
  }
  ctx.restore();
}
