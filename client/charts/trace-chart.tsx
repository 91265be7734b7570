import './usable-language.ts';
import 'uplot/dist/uPlot.min.css';
import { effect } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import uPlot from 'uplot';
import type { Pulses } from '../../server/contract/live.ts';
import { pulses, setup, stale } from '../link/latest.ts';
import { frozen } from '../link/shown.ts';
import { lessMotion } from '../settings/motion.ts';
import { theme } from '../settings/theme.ts';
import { chosenUnit } from '../units/chosen-unit.ts';
import { chartInk, hasRoom, plainAxis } from './chart-ink.ts';
import { CylinderPlate } from './cylinder-plate.tsx';
import { useSize } from './element-size.ts';
import { pulseTopKpa } from './pulse-scale.ts';
import { TRACE_S, TraceHistory } from './trace-history.ts';
import { laneFoot, traceLanes } from './trace-lanes.ts';

const WIDTH = 2;
const DRAW_EVERY_MS_LESS_MOTION = 1_000;
/** Height of the axis of time [px]; the plates stand beside what is above it. */
const AXIS_PX = 32;

/** Vacuum of each cylinder as it comes from the sensor, one lane each, over the last seconds. */
export function TraceChart() {
  const [ref, size] = useSize<HTMLDivElement>();
  const cylinders = setup.value?.cylinders ?? 1;
  const shade = theme.value;
  const unit = chosenUnit.value;
  const width = size?.width ?? 0;
  const height = size?.height ?? 0;

  useEffect(() => {
    const host = ref.current;
    if (host === null || !hasRoom(width, height)) return;
    const history = new TraceHistory(cylinders);
    const chart = new uPlot(options(width, height, cylinders), [[]], host);
    let topKpa: number | null = null;
    let drawnAt = Number.NEGATIVE_INFINITY;
    let taken: Pulses | null = null;
    const stop = effect(() => {
      const message = pulses.value;
      const barometricKpa = setup.peek()?.barometricKpa;
      if (stale.value) history.break();
      else if (message !== null && message !== taken && barometricKpa !== undefined)
        history.take(message, barometricKpa);
      taken = message;
      const now = performance.now();
      if (frozen.value || (lessMotion.value && now - drawnAt < DRAW_EVERY_MS_LESS_MOTION)) return;
      drawnAt = now;
      topKpa = pulseTopKpa(history.highestKpa(), unit, topKpa);
      const newestS = history.newestS ?? 0;
      const lanes = traceLanes(history.columns, topKpa) as uPlot.AlignedData;
      chart.batch(() => {
        chart.setData(lanes, false);
        chart.setScale('x', { min: newestS - TRACE_S, max: newestS });
        chart.setScale('y', { min: 0, max: cylinders });
      });
    });
    return () => {
      stop();
      chart.destroy();
    };
  }, [width, height, cylinders, shade, unit]);

  return (
    <div class="trace">
      <div class="trace-plates" style={{ paddingBottom: `${AXIS_PX}px` }} aria-hidden="true">
        {Array.from({ length: cylinders }, (_, cyl) => (
          <CylinderPlate key={cyl} cyl={cyl} />
        ))}
      </div>
      <div
        class="trace-chart"
        ref={ref}
        role="img"
        style={{ '--lanes': cylinders }}
        aria-label={`Vacuum of each cylinder over the last ${TRACE_S} seconds, one lane each`}
      />
    </div>
  );
}

/** All lines in ink: the plate beside its lane says whose it is. */
function options(width: number, height: number, cylinders: number): uPlot.Options {
  const { ink } = chartInk();
  const axis = plainAxis();
  const all = Array.from({ length: cylinders }, (_, cyl) => cyl);
  return {
    width,
    height,
    padding: [0, 14, 0, 4],
    legend: { show: false },
    cursor: { show: false },
    scales: {
      x: { time: false, auto: false, range: (_chart, min, max) => [min, max] },
      y: { auto: false, range: () => [0, cylinders] },
    },
    axes: [
      {
        ...axis,
        size: AXIS_PX,
        gap: 6,
        splits: (_chart, _axis, _min, max) => [2, 1, 0].map((ago) => max - ago),
        values: (chart, splits) =>
          splits.map((at) => {
            const ago = Math.round((chart.scales.x!.max ?? 0) - at);
            return ago === 0 ? 'now' : `${ago} s ago`;
          }),
      },
      {
        ...axis,
        size: 0,
        splits: () => all.map((cyl) => laneFoot(cyl, cylinders)),
        values: () => all.map(() => ''),
      },
    ],
    series: [
      {},
      ...all.map(() => ({
        points: { show: false },
        stroke: ink,
        width: WIDTH,
        spanGaps: false,
      })),
    ],
  };
}
