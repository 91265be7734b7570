/**
 * Idle roughness: each figure apart, then one score.
 *
 *   cycle length coefficient of variation   100 · sd(T) / mean(T)
 *   choppiness                              100 · rms(T[k+1] - T[k]) / mean(T): uneven from one cycle to the next,
 *                                           whatever the slow wander (von Neumann's successive difference)
 *   hunting                                 amplitude and period of the regular part, 0.1-2 Hz (`hunting.ts`)
 *   pulse depth coefficient of variation    100 · sd(D) / mean(D), per cylinder
 *   missed or weak pulses per minute        per cylinder (`missed-pulses.ts`)
 *   lowest normalised cycle                 min(D) / median(D), per cylinder
 *
 * The score is our own and compares an engine with itself, before and after: 100 · (1 - 2^-x), where x adds up each
 * figure over the value at which that figure alone makes 50. These are figures of pressure and speed in the intake,
 * not of cylinder pressure; no standard exists for them.
 */
import { findHunting, type Hunting } from './hunting.ts';
import { median } from './median.ts';
import type { RoughnessFigures } from './reading.ts';

/** What makes a score of 50 alone. */
export const HALF_SCORE_AT = {
  choppinessPercent: 6,
  huntingAmplitudePercent: 6,
  depthCovPercent: 25,
  missedPerMinute: 20,
} as const;

const FEWEST_CYCLES = 8;

export interface RoughnessInput {
  /** Middle of each engine cycle [s] and its length [s]. */
  readonly cycleTimesS: readonly number[];
  readonly cycleLengthsS: readonly number[];
  /** Crank revolutions per engine cycle. */
  readonly revolutions: number;
  readonly cylinders: readonly {
    readonly depthsKpa: readonly number[];
    /** null when pulses of this cylinder cannot be told. */
    readonly missed: number | null;
    readonly observedS: number;
  }[];
}

/** @param knownHunting hunting found elsewhere; left out, it is looked for in the given cycles */
export function roughnessOf(input: RoughnessInput, knownHunting?: Hunting | null): RoughnessFigures {
  const { cycleLengthsS: lengths, cycleTimesS: times } = input;
  const enough = lengths.length >= FEWEST_CYCLES;
  const meanS = lengths.reduce((sum, length) => sum + length, 0) / lengths.length;
  const cycleLengthCovPercent = enough ? (100 * deviation(lengths, meanS)) / meanS : null;
  const choppinessPercent = enough ? (100 * rmsSuccessive(lengths)) / meanS : null;
  const speeds = lengths.map((length) => (60 * input.revolutions) / length);
  const hunting = !enough ? null : knownHunting === undefined ? findHunting(times, speeds) : knownHunting;
  const perCylinder = input.cylinders.map((cylinder) => cylinderFigures(cylinder));
  const idleRpm = (60 * input.revolutions) / meanS;
  return {
    score: enough ? score(choppinessPercent!, hunting, idleRpm, perCylinder) : null,
    cycleLengthCovPercent,
    choppinessPercent,
    hunting,
    perCylinder,
  };
}

function cylinderFigures(
  cylinder: RoughnessInput['cylinders'][number],
): RoughnessFigures['perCylinder'][number] {
  const { depthsKpa: depths, missed, observedS } = cylinder;
  const enough = depths.length >= FEWEST_CYCLES;
  const mean = depths.reduce((sum, depth) => sum + depth, 0) / depths.length;
  return {
    depthCovPercent: enough && mean > 0 ? (100 * deviation(depths, mean)) / mean : null,
    missedPerMinute: enough && missed !== null && observedS > 0 ? (60 * missed) / observedS : null,
    lowestNormalisedCycle: enough ? lowestOverMedian(depths) : null,
  };
}

function score(
  choppinessPercent: number,
  hunting: Hunting | null,
  idleRpm: number,
  perCylinder: RoughnessFigures['perCylinder'],
): number {
  const huntingPercent = hunting === null ? 0 : (100 * hunting.amplitudeRpm) / idleRpm;
  const worstDepth = Math.max(0, ...perCylinder.map((one) => one.depthCovPercent ?? 0));
  const missed = perCylinder.reduce((sum, one) => sum + (one.missedPerMinute ?? 0), 0);
  const x =
    choppinessPercent / HALF_SCORE_AT.choppinessPercent +
    huntingPercent / HALF_SCORE_AT.huntingAmplitudePercent +
    worstDepth / HALF_SCORE_AT.depthCovPercent +
    missed / HALF_SCORE_AT.missedPerMinute;
  return 100 * (1 - 2 ** -x);
}

function deviation(values: readonly number[], mean: number): number {
  let squares = 0;
  for (const value of values) squares += (value - mean) ** 2;
  return Math.sqrt(squares / (values.length - 1));
}

function rmsSuccessive(values: readonly number[]): number {
  let squares = 0;
  for (let index = 1; index < values.length; index++) squares += (values[index]! - values[index - 1]!) ** 2;
  return Math.sqrt(squares / (values.length - 1));
}

function lowestOverMedian(values: readonly number[]): number | null {
  const usual = median(values);
  return usual !== null && usual > 0 ? Math.max(0, Math.min(...values) / usual) : null;
}
