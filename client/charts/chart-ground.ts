import type uPlot from 'uplot';
import { toleranceKpa } from '../link/latest.ts';
import type { ChartInk } from './chart-ink.ts';
import { drawCycleDots } from './cycle-dots.ts';
import { historyColumns, historyCylinders } from './history.ts';

export interface GroundLook {
  readonly theme: 'light' | 'dark';
  readonly ink: ChartInk;
}

/** What lies under the lines, on a canvas of its own: the band and the single cycles. Drawn on the scales of the chart. */
export function drawChartGround(canvas: HTMLCanvasElement, chart: uPlot, { theme, ink }: GroundLook): void {
  const { width, height } = chart.ctx.canvas;
  if (canvas.width !== width) canvas.width = width;
  if (canvas.height !== height) canvas.height = height;
  const ctx = canvas.getContext('2d');
  if (ctx === null) return;
  ctx.clearRect(0, 0, width, height);
  drawBand(ctx, chart, ink);
  drawCycleDots(ctx, chart, { history: historyColumns(), cylinders: historyCylinders(), theme });
}

function drawBand(ctx: CanvasRenderingContext2D, chart: uPlot, ink: ChartInk): void {
  const tolerance = toleranceKpa.peek();
  const left = chart.valToPos(-tolerance, 'y', true);
  const right = chart.valToPos(tolerance, 'y', true);
  const { top, height } = chart.bbox;
  ctx.fillStyle = ink.band;
  ctx.fillRect(left, top, right - left, height);
  ctx.strokeStyle = ink.bandEdge;
  ctx.lineWidth = 1.5 * devicePixelRatio;
  ctx.beginPath();
  for (const x of [left, right]) {
    ctx.moveTo(x, top);
    ctx.lineTo(x, top + height);
  }
  ctx.stroke();
}
