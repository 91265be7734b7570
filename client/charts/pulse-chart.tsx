import './usable-language.ts';
import 'uplot/dist/uPlot.min.css';
import { effect } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import uPlot from 'uplot';
import type { Pulses } from '../../server/contract/live.ts';
import { pulses, setup } from '../link/latest.ts';
import { frozen } from '../link/shown.ts';
import { theme } from '../settings/theme.ts';
import { chosenUnit } from '../units/chosen-unit.ts';
import { fromKpa } from '../units/pressure-unit.ts';
import { EDGE_COLOUR, hasRoom, plainAxis } from './chart-ink.ts';
import { cylinderStyle, lineColour } from './cylinder-style.ts';
import { useSize } from './element-size.ts';
import { pulseTopKpa } from './pulse-scale.ts';
import { railTicks } from './rail-scale.ts';

const WIDTH = 2.5;

/** The mean intake pulse of every cylinder over one engine cycle, laid over each other, with its spread as a shade. */
export function PulseChart() {
  const [ref, size] = useSize<HTMLDivElement>();
  const cylinders = setup.value?.cylinders ?? 1;
  const degrees = setup.value?.strokes === 2 ? 360 : 720;
  const shade = theme.value;
  const unit = chosenUnit.value;
  const width = size?.width ?? 0;
  const height = size?.height ?? 0;

  useEffect(() => {
    const host = ref.current;
    if (host === null || !hasRoom(width, height)) return;
    let topKpa: number | null = null;
    const chart = new uPlot(
      options(width, height, cylinders, degrees, shade, () => topKpa ?? 60),
      [[]],
      host,
    );
    const stop = effect(() => {
      const message = pulses.value;
      if (frozen.value) return;
      const folded = message?.folded.slice(0, cylinders) ?? [];
      topKpa = pulseTopKpa(highest(folded), unit, topKpa);
      const top = topKpa;
      chart.batch(() => {
        chart.setData(columns(folded, cylinders, degrees), false);
        chart.setScale('x', { min: 0, max: degrees });
        chart.setScale('y', { min: -0.04 * top, max: top });
      });
    });
    return () => {
      stop();
      chart.destroy();
    };
  }, [width, height, cylinders, degrees, shade, unit]);

  return (
    <div
      class="pulse-chart"
      ref={ref}
      role="img"
      aria-label="Mean intake pulse of each cylinder over one engine cycle"
    />
  );
}

/** Angle, then upper edge, lower edge and mean of each cylinder. Shades lie under all lines. */
function columns(folded: Pulses['folded'], cylinders: number, degrees: number): uPlot.AlignedData {
  const bins = Math.max(0, ...folded.map(({ meanKpa }) => meanKpa.length));
  const angle = Array.from({ length: bins }, (_, bin) => ((bin + 0.5) / bins) * degrees);
  const edges: (number | null)[][] = [];
  const means: (number | null)[][] = [];
  for (let cyl = 0; cyl < cylinders; cyl++) {
    const mean = folded[cyl]?.meanKpa ?? [];
    const sd = folded[cyl]?.sdKpa ?? [];
    const at = (sign: number) =>
      angle.map((_, bin) => {
        const centre = mean[bin] ?? null;
        return centre === null ? null : centre + sign * (sd[bin] ?? 0);
      });
    edges.push(at(1), at(-1));
    means.push(at(0));
  }
  return [angle, ...edges, ...means];
}

function highest(folded: Pulses['folded']): number | null {
  let most: number | null = null;
  for (const { meanKpa, sdKpa } of folded) {
    for (const [bin, mean] of meanKpa.entries()) {
      if (mean !== null) most = Math.max(most ?? 0, mean + (sdKpa[bin] ?? 0));
    }
  }
  return most;
}

function options(
  width: number,
  height: number,
  cylinders: number,
  degrees: number,
  shade: 'light' | 'dark',
  top: () => number,
): uPlot.Options {
  const all = Array.from({ length: cylinders }, (_, cyl) => cyl);
  const hidden = { points: { show: false }, width: 0, stroke: 'transparent' };
  const ticks = () =>
    railTicks(top(), chosenUnit.peek(), Math.max(4, height / 40)).ticks.filter(({ value }) => value >= 0);
  const axis = plainAxis();
  return {
    width,
    height,
    padding: [10, 16, 0, 0],
    legend: { show: false },
    cursor: { show: false },
    scales: {
      x: { time: false, auto: false, range: (_chart, min, max) => [min, max] },
      y: { auto: false, range: (_chart, min, max) => [min, max] },
    },
    axes: [
      {
        ...axis,
        size: 34,
        gap: 6,
        splits: () => Array.from({ length: 5 }, (_, index) => (index * degrees) / 4),
        values: (_chart, splits) => splits.map((angle) => `${angle}°`),
      },
      {
        ...axis,
        size: 58,
        gap: 8,
        splits: () => ticks().map(({ kpa }) => kpa),
        values: (_chart, splits) =>
          splits.map((kpa) => String(Number(fromKpa(kpa, chosenUnit.peek()).toPrecision(6)))),
      },
    ],
    series: [
      {},
      ...all.flatMap(() => [hidden, hidden]),
      ...all.map((cyl) => ({
        points: { show: false },
        stroke: lineColour(cyl, shade),
        width: WIDTH,
        dash: [...cylinderStyle(cyl).dash],
        spanGaps: false,
      })),
    ],
    bands: all.map((cyl) => ({
      series: [1 + 2 * cyl, 2 + 2 * cyl] as [number, number],
      fill: `${shade === 'light' && cylinderStyle(cyl).pale ? EDGE_COLOUR : lineColour(cyl, shade)}26`,
    })),
  };
}
