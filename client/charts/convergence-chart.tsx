import './usable-language.ts';
import 'uplot/dist/uPlot.min.css';
import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import { setup, toleranceKpa } from '../link/latest.ts';
import { frozen, railUpdate } from '../link/shown.ts';
import { lessMotion } from '../settings/motion.ts';
import { theme } from '../settings/theme.ts';
import { chosenUnit } from '../units/chosen-unit.ts';
import { signedText } from '../units/figure-text.ts';
import { chartInk } from './chart-ink.ts';
import { chartColumns, chartSeries } from './chart-series.ts';
import { drawCycleDots } from './cycle-dots.ts';
import { useSize } from './element-size.ts';
import { HISTORY_S, historyColumns, historyCylinders, historyNowS, historyVersion } from './history.ts';
import { plotInset } from './plot-inset.ts';
import { railTicks } from './rail-scale.ts';
import { halfWidthKpa } from './rail-view.ts';

/** It is drawn again when it has moved by a pixel, but not more or less often than this. */
const DRAW_EVERY_MS_LEAST = 100;
const DRAW_EVERY_MS_MOST = 200;
const DRAW_EVERY_MS_LESS_MOTION = 1_000;
const WAIT_FOR_RAIL_MS = 60;
const PX_PER_TICK = 84;
const TICK_FONT = '500 15px "Barlow Semi Condensed", system-ui, sans-serif';

/**
 * The rail turned to time: the same scale from left to right, now at the top under the markers, a minute ago at
 * the bottom. Lines that run together are carburettors that come into balance.
 */
export function ConvergenceChart() {
  const [ref, size] = useSize<HTMLDivElement>();
  const plot = useRef<uPlot | null>(null);
  const cylinders = setup.value?.cylinders ?? historyCylinders();
  const shade = theme.value;
  const ready = size !== null && size.width > 60 && size.height > 60;

  useEffect(() => {
    const host = ref.current;
    if (host === null || !ready || size === null) return;
    const made = new uPlot(options(size.width, size.height, historyCylinders(), shade), [[]], host);
    plot.current = made;
    return () => {
      made.destroy();
      plot.current = null;
    };
  }, [ready, cylinders, shade]);

  useEffect(() => {
    if (size !== null && ready) plot.current?.setSize(size);
  }, [size, ready]);

  useEffect(() => {
    let drawnCylinders = historyCylinders();
    return drawNowAndThen(
      () => {
        const chart = plot.current;
        if (chart === null || frozen.peek()) return;
        if (
          drawnCylinders !== historyCylinders() ||
          chart.series.length !== chartSeries(historyCylinders(), theme.peek()).length
        ) {
          drawnCylinders = historyCylinders();
          for (let i = chart.series.length - 1; i > 0; i--) chart.delSeries(i);
          for (const [i, series] of chartSeries(drawnCylinders, theme.peek()).entries())
            if (i > 0) chart.addSeries(series, i);
        }
        drawNow(chart);
      },
      () => drawEveryMs(plot.current),
    );
  }, []);

  return (
    <div
      class="chart"
      ref={ref}
      role="img"
      aria-label="Each cylinder's difference over the last minute, newest at the top"
    />
  );
}

function drawEveryMs(chart: uPlot | null): number {
  if (lessMotion.peek()) return DRAW_EVERY_MS_LESS_MOTION;
  const pixelMs = (1000 * HISTORY_S) / Math.max(1, chart?.bbox.height ?? 1);
  return Math.max(DRAW_EVERY_MS_LEAST, Math.min(DRAW_EVERY_MS_MOST, pixelMs));
}

/**
 * Asks for a frame only when there is something to draw: a page that asks for every one keeps a tablet warm. Rail and
 * chart in one frame are too much for a slow tablet, so the chart waits for one in which the rail stands still.
 * @returns what ends it
 */
function drawNowAndThen(draw: () => void, everyMs: () => number): () => void {
  let frame = 0;
  let railSeen = railUpdate.peek();
  let waitedSince = 0;
  const next = () => {
    waitedSince = performance.now();
    railSeen = railUpdate.peek();
    frame = requestAnimationFrame(look);
  };
  const look = (now: number) => {
    if (railUpdate.peek() !== railSeen && now - waitedSince < WAIT_FOR_RAIL_MS) {
      railSeen = railUpdate.peek();
      frame = requestAnimationFrame(look);
      return;
    }
    draw();
    timer = setTimeout(next, everyMs());
  };
  let timer = setTimeout(next, 0);
  return () => {
    clearTimeout(timer);
    cancelAnimationFrame(frame);
  };
}

function drawNow(chart: uPlot): void {
  historyVersion.peek();
  const now = historyNowS();
  const half = halfWidthKpa.peek();
  chart.batch(() => {
    chart.setData(chartColumns(historyColumns(), historyCylinders(), theme.peek()), false);
    chart.setScale('x', { min: now - HISTORY_S, max: now });
    chart.setScale('y', { min: -half, max: half });
  });
}

function options(width: number, height: number, cylinders: number, shade: 'light' | 'dark'): uPlot.Options {
  const ink = chartInk();
  const inset = plotInset(width);
  const axis: uPlot.Axis = {
    stroke: ink.text,
    font: TICK_FONT,
    grid: { stroke: ink.grid, width: 1 },
    ticks: { show: false },
  };
  return {
    width,
    height,
    pxAlign: 0,
    padding: [0, inset, 0, 0],
    legend: { show: false },
    cursor: { show: false },
    scales: {
      x: { time: false, auto: false, ori: 1, range: (_chart, min, max) => [min, max] },
      y: { auto: false, ori: 0, range: [-1, 1] },
    },
    axes: [
      {
        ...axis,
        scale: 'x',
        side: 3,
        size: inset,
        gap: 8,
        splits: (_chart, _axis, min, max) =>
          [10, 20, 30, 40, 50].map((ago) => max - ago).filter((at) => at > min),
        values: (chart, splits) => splits.map((at) => `${Math.round((chart.scales.x!.max ?? 0) - at)} s`),
      },
      {
        ...axis,
        scale: 'y',
        side: 2,
        size: 32,
        gap: 8,
        splits: () => tickValues(width - 2 * inset).ticks.map(({ kpa }) => kpa),
        values: () => {
          const { ticks, decimals } = tickValues(width - 2 * inset);
          return ticks.map(({ value }) => signedText(value, decimals));
        },
      },
    ],
    series: chartSeries(cylinders, shade),
    hooks: {
      drawClear: [(chart) => drawBand(chart, ink)],
      drawAxes: [(chart) => drawCycleDots(chart, historyColumns(), historyCylinders(), shade)],
    },
  };
}

function tickValues(width: number) {
  return railTicks(halfWidthKpa.peek(), chosenUnit.peek(), width / PX_PER_TICK);
}

function drawBand(chart: uPlot, ink: ReturnType<typeof chartInk>): void {
  const tolerance = toleranceKpa.peek();
  const left = chart.valToPos(-tolerance, 'y', true);
  const right = chart.valToPos(tolerance, 'y', true);
  const { top, height } = chart.bbox;
  const { ctx } = chart;
  ctx.save();
  ctx.fillStyle = ink.band;
  ctx.fillRect(left, top, right - left, height);
  ctx.strokeStyle = ink.bandEdge;
  ctx.setLineDash([]);
  ctx.lineWidth = 1.5 * devicePixelRatio;
  ctx.beginPath();
  for (const x of [left, right]) {
    ctx.moveTo(x, top);
    ctx.lineTo(x, top + height);
  }
  ctx.stroke();
  ctx.restore();
}
