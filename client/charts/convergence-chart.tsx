import './usable-language.ts';
import 'uplot/dist/uPlot.min.css';
import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import { setup } from '../link/latest.ts';
import { frozen } from '../link/shown.ts';
import { lessMotion } from '../settings/motion.ts';
import { theme } from '../settings/theme.ts';
import { chosenUnit } from '../units/chosen-unit.ts';
import { signedText } from '../units/figure-text.ts';
import { drawChartGround, type GroundLook } from './chart-ground.ts';
import { chartInk, hasRoom, plainAxis } from './chart-ink.ts';
import { chartColumns, chartSeries } from './chart-series.ts';
import { drawNowAndThen } from './draw-pace.ts';
import { useSize } from './element-size.ts';
import { HISTORY_S, historyColumns, historyCylinders, historyNowS } from './history.ts';
import { plotInset } from './plot-inset.ts';
import { PX_PER_TICK, railTicks } from './rail-scale.ts';
import { halfWidthKpa } from './rail-view.ts';

/** It is drawn again when it has moved by a pixel, but not more or less often than this. */
const DRAW_EVERY_MS_LEAST = 100;
const DRAW_EVERY_MS_MOST = 320;
const DRAW_EVERY_MS_LESS_MOTION = 1_000;

/**
 * The rail turned to time: the same scale from left to right, now at the top under the markers, a minute ago at
 * the bottom. Lines that run together are carburettors that come into balance.
 */
export function ConvergenceChart() {
  const [ref, size] = useSize<HTMLDivElement>();
  const plot = useRef<uPlot | null>(null);
  const ground = useRef<HTMLCanvasElement | null>(null);
  const look = useRef<GroundLook | null>(null);
  const moment = useRef<Moment>({ nowS: historyNowS(), halfKpa: halfWidthKpa.peek() });
  const cylinders = setup.value?.cylinders ?? historyCylinders();
  const shade = theme.value;
  const ready = size !== null && hasRoom(size.width, size.height);

  const below = () => {
    if (plot.current !== null && ground.current !== null && look.current !== null)
      drawChartGround(ground.current, plot.current, look.current);
  };

  useEffect(() => {
    const host = ref.current;
    if (host === null || !ready || size === null) return;
    const made = new uPlot(options(size.width, size.height, historyCylinders(), shade), [[]], host);
    plot.current = made;
    // While the screen is frozen nothing else would draw it.
    drawLines(made, moment.current);
    look.current = { theme: shade, ink: chartInk() };
    below();
    return () => {
      made.destroy();
      plot.current = null;
    };
  }, [ready, cylinders, shade]);

  useEffect(() => {
    if (size === null || !ready || plot.current === null) return;
    plot.current.setSize(size);
    below();
  }, [size, ready]);

  useEffect(() => {
    let drawnCylinders = historyCylinders();
    const lines = () => {
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
      moment.current = { nowS: historyNowS(), halfKpa: halfWidthKpa.peek() };
      drawLines(chart, moment.current);
    };
    const belowUnlessFrozen = () => {
      if (!frozen.peek()) below();
    };
    return drawNowAndThen([lines, belowUnlessFrozen], () => drawEveryMs(plot.current));
  }, []);

  return (
    <div
      class="chart"
      ref={ref}
      role="img"
      aria-label="Each cylinder's difference over the last minute, newest at the top"
    >
      <canvas class="chart-ground" ref={ground} />
    </div>
  );
}

function drawEveryMs(chart: uPlot | null): number {
  if (lessMotion.peek()) return DRAW_EVERY_MS_LESS_MOTION;
  const pixelMs = chart === null ? DRAW_EVERY_MS_LEAST : 1000 * pixelS(chart);
  return Math.max(DRAW_EVERY_MS_LEAST, Math.min(DRAW_EVERY_MS_MOST, pixelMs));
}

/** Time that one pixel of the screen stands for [s]. */
function pixelS({ bbox }: uPlot): number {
  return HISTORY_S / Math.max(1, bbox.height);
}

interface Moment {
  readonly nowS: number;
  readonly halfKpa: number;
}

function drawLines(chart: uPlot, { nowS, halfKpa }: Moment): void {
  const look = { theme: theme.peek(), stepS: pixelS(chart) };
  chart.batch(() => {
    chart.setData(chartColumns(historyColumns(), historyCylinders(), look), false);
    chart.setScale('x', { min: nowS - HISTORY_S, max: nowS });
    chart.setScale('y', { min: -halfKpa, max: halfKpa });
  });
}

function options(width: number, height: number, cylinders: number, shade: 'light' | 'dark'): uPlot.Options {
  const inset = plotInset(width);
  const axis = plainAxis();
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
  };
}

function tickValues(width: number) {
  return railTicks(halfWidthKpa.peek(), chosenUnit.peek(), width / PX_PER_TICK);
}
