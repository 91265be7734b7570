import type { EngineSpec } from './engine-spec.ts';
import { cycleDegOf, rpmAt } from './engine-spec.ts';

/** A run without sensors, on a fine even grid of time. Between grid points everything is a straight line. */
export interface CleanRun {
  /** Time of the first grid point [s]; below 0, as the engine runs before the recording begins. */
  readonly startS: number;
  readonly stepS: number;
  readonly durationS: number;
  readonly cycleDeg: 720 | 360;
  readonly baroKpa: number;
  readonly angleDeg: Float64Array;
  /** Pressure at the sensor of each channel [kPa absolute]. */
  readonly kpa: readonly Float64Array[];
  /** Crank angle at which each channel's pressure begins its fall. */
  readonly intakeAnglesDeg: readonly number[];
  readonly missedAnglesDeg: readonly (readonly number[])[];
  readonly deadChannels: readonly boolean[];
  readonly longRunVacuumKpa: readonly (number | null)[];
  readonly refillKpaPerS: readonly (number | null)[];
}

export interface TimeGrid {
  readonly startS: number;
  readonly stepS: number;
  readonly points: number;
}

const POINTS_PER_CYCLE = 400;
const LONGEST_STEP_S = 0.0003;
/** Cycles that the engine runs before and after the recording, so that its edges are like its middle. */
const WARM_UP_CYCLES = 12;
const TAIL_CYCLES = 3;

export function timeGrid(spec: EngineSpec): TimeGrid {
  let fastest = 0;
  let slowest = Number.POSITIVE_INFINITY;
  for (let t = 0; t <= spec.durationS; t += 0.01) {
    const rpm = rpmAt(spec, t);
    fastest = Math.max(fastest, rpm);
    slowest = Math.min(slowest, rpm);
    if (typeof spec.rpm === 'number') break;
  }
  const cycleDeg = cycleDegOf(spec);
  const margin = spec.hunting ? spec.hunting.amplitudeRpm : 0;
  const shortestCycleS = cycleDeg / 6 / (fastest + margin);
  const longestCycleS = cycleDeg / 6 / Math.max(slowest - margin, 60);
  const stepS = Math.min(shortestCycleS / POINTS_PER_CYCLE, LONGEST_STEP_S);
  const startS = -WARM_UP_CYCLES * longestCycleS;
  const endS = spec.durationS + TAIL_CYCLES * longestCycleS;
  return { startS, stepS, points: Math.ceil((endS - startS) / stepS) + 2 };
}

/** Index of the last value that is not above the one asked for; -1 when all are above. Values rise. */
export function indexAtOrBelow(values: Float64Array, value: number): number {
  let low = -1;
  let high = values.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (values[middle]! <= value) low = middle;
    else high = middle;
  }
  return low;
}
