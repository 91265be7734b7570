/**
 * Names what is wrong with a sensor or its hose, from its last second of samples.
 *
 *   dead          no noise and no movement at all: cable, supply or sensor
 *   saturated     pressed against an end of its range
 *   noisy         single samples scatter more than a sensor may
 *   open-to-air   reads the barometric pressure while other cylinders pull: the hose is off
 *   blocked       flat, but not at barometric pressure, while other cylinders pulse: the hose is kinked or plugged
 *   no-pulse      nothing to be timed, for no cause that can be told: a stopped engine, among others
 */
import { STANDARD_ATMOSPHERE_KPA } from './engine-setup.ts';
import type { SensorState } from './reading.ts';
import type { SampleHistory } from './sample-history.ts';

export const WATCH_S = 1;
const FEWEST_SAMPLES = 20;
/** Standard deviation of single samples beyond which a sensor is noisy [kPa]. */
const NOISY_KPA = 1.5;
/** And beyond this part of the swing: deep pulses scatter about their mean shape by themselves. */
const NOISY_SHARE = 0.12;
/** A hole longer than this part of what is looked at: no sensor is there. */
const MISSING_SHARE = 0.5;
/** A hose that reads within this of barometric pressure, and swings less, is off [kPa]. */
const OPEN_WITHIN_KPA = 2.5;
const FLAT_SWING_KPA = 3;
/** A swing below this part of the usual pulse, for a second, is none. */
const QUIET_SHARE = 0.2;
/** Part of the samples at one end of the range that makes a sensor saturated. */
const SATURATED_SHARE = 0.06;
/** Equal samples at an extreme, as part of all, that look like a clipped wave when the range is not known. */
const CLIPPED_SHARE = 0.15;

export interface SensorRange {
  readonly lowestKpa: number;
  readonly highestKpa: number;
}

export interface SensorContext {
  /** Some cylinder of the engine is being followed. */
  readonly engineRuns: boolean;
  /** This one's own pulse is being timed. */
  readonly steers: boolean;
  /** Scatter of single samples about the usual pulse [kPa], or null. */
  readonly residualKpa: number | null;
  /** Depth of its usual pulse [kPa], or null. */
  readonly usualDepthKpa: number | null;
  readonly barometricKpa: number;
  /** Ends of the sensor's range, or null when not known. */
  readonly range: SensorRange | null;
}

export function sensorState(history: SampleHistory, channel: number, context: SensorContext): SensorState {
  const seen = survey(history, channel);
  if (seen === 'too-few') return 'no-pulse';
  if (seen === 'missing') return 'dead';
  const { lowest, highest, mean, atLowest, atHighest, count } = seen;
  const swing = highest - lowest;
  const { range } = context;
  const atEnd =
    range !== null &&
    ((lowest <= range.lowestKpa && atLowest >= SATURATED_SHARE * count) ||
      (highest >= range.highestKpa && atHighest >= SATURATED_SHARE * count));
  if (atEnd) return 'saturated';
  if (swing === 0) return 'dead';
  if (swing > FLAT_SWING_KPA && Math.max(atLowest, atHighest) >= CLIPPED_SHARE * count) return 'saturated';
  if (context.residualKpa !== null && context.steers && context.residualKpa > noisyFrom(swing))
    return 'noisy';
  // A hose that fell off or was pinched just now: the tracker still waits for its pulse.
  const quiet = context.usualDepthKpa !== null && swing < QUIET_SHARE * context.usualDepthKpa;
  if (context.steers && !(quiet && swing < FLAT_SWING_KPA)) return 'ok';
  if (!context.engineRuns) return 'no-pulse';
  if (swing >= FLAT_SWING_KPA) return 'no-pulse';
  if (Math.abs(mean - context.barometricKpa) < OPEN_WITHIN_KPA) return 'open-to-air';
  return 'blocked';
}

/** @returns scatter of single samples from which a sensor is noisy [kPa] */
function noisyFrom(swingKpa: number): number {
  return Math.max(NOISY_KPA, NOISY_SHARE * swingKpa);
}

interface Survey {
  readonly lowest: number;
  readonly highest: number;
  readonly mean: number;
  readonly atLowest: number;
  readonly atHighest: number;
  readonly count: number;
}

function survey(history: SampleHistory, channel: number): Survey | 'too-few' | 'missing' {
  const last = history.finalRows - 1;
  if (last < history.firstRow) return 'too-few';
  const endS = history.timeOfRow(last) + history.delayOf(channel);
  const first = Math.max(history.firstRow, history.rowAtOrBefore(channel, endS - WATCH_S) + 1);
  if (last - first + 1 < FEWEST_SAMPLES) return 'too-few';
  if (history.longestHoleS(channel, endS - WATCH_S, endS) > MISSING_SHARE * WATCH_S) return 'missing';
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  let sum = 0;
  for (let row = first; row <= last; row++) {
    const value = history.value(channel, row);
    if (value < lowest) lowest = value;
    if (value > highest) highest = value;
    sum += value - STANDARD_ATMOSPHERE_KPA;
  }
  let atLowest = 0;
  let atHighest = 0;
  for (let row = first; row <= last; row++) {
    const value = history.value(channel, row);
    if (value === lowest) atLowest++;
    if (value === highest) atHighest++;
  }
  const count = last - first + 1;
  return { lowest, highest, mean: STANDARD_ATMOSPHERE_KPA + sum / count, atLowest, atHighest, count };
}
