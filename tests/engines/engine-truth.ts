import type { CleanRun } from './clean-run.ts';
import { indexAtOrBelow } from './clean-run.ts';

/** What really happened, per channel (what the sensor of that channel was joined to), apart from noise and sampling. */
export interface EngineTruth {
  readonly cycleDeg: 720 | 360;
  readonly baroKpa: number;
  readonly durationS: number;
  /** Times [s] at which each channel's pressure begins its fall, for every cycle that starts within the recording. */
  readonly cycleStartsS: readonly Float64Array[];
  /** Speed [r/min] over each of these cycles, to the same cylinder's next start. */
  readonly cycleRpm: readonly Float64Array[];
  /** Times [s] at which the lowest pressure of a missed pulse would have been. */
  readonly missedPulsesS: readonly Float64Array[];
  /** Channels with no usable pulse of their own. */
  readonly deadChannels: readonly boolean[];
  /** Time average of the clean pressure at the sensor [kPa absolute]. */
  meanKpa(channel: number, startS: number, endS: number): number;
  /** The same as vacuum [kPa below barometric]. */
  meanVacuumKpa(channel: number, startS: number, endS: number): number;
  /** Clean pressure at the sensor [kPa absolute]. */
  kpaAt(channel: number, timeS: number): number;
  /** Highest minus lowest clean pressure in a window [kPa]. */
  depthKpa(channel: number, startS: number, endS: number): number;
  /** Crank angle since the run began [deg], rising without end. */
  angleDegAt(timeS: number): number;
  timeAtAngleDeg(angleDeg: number): number;
  /** Length of the engine cycle that begins at a moment: time to one whole cycle of crank later [s]. */
  cycleLengthFrom(startS: number): number;
  /** Mean speed over a window [r/min]. */
  meanRpm(startS: number, endS: number): number;
  /** Mean of whole-cycle vacuum in the long run [kPa], where the engine knows it in closed form; else null. */
  readonly longRunVacuumKpa: readonly (number | null)[];
  /** Rise of each port's pressure through its choked throttle [kPa/s]: open area over volume. Null: no such thing in this engine. */
  readonly refillKpaPerS: readonly (number | null)[];
}

export function engineTruth(run: CleanRun): EngineTruth {
  const sums = run.kpa.map((kpa) => runningIntegral(kpa, run.stepS));
  const last = run.angleDeg.length - 1;
  const angleDegAt = (timeS: number): number => valueAt(run.angleDeg, run, timeS);
  const timeAtAngleDeg = (angleDeg: number): number => {
    const i = Math.min(Math.max(indexAtOrBelow(run.angleDeg, angleDeg), 0), last - 1);
    const a = run.angleDeg[i]!;
    const b = run.angleDeg[i + 1]!;
    return run.startS + (i + (angleDeg - a) / (b - a)) * run.stepS;
  };
  const integralTo = (channel: number, timeS: number): number => {
    const position = (timeS - run.startS) / run.stepS;
    const i = Math.min(Math.max(Math.floor(position), 0), last - 1);
    const part = position - i;
    const kpa = run.kpa[channel]!;
    const rise = kpa[i + 1]! - kpa[i]!;
    return sums[channel]![i]! + run.stepS * part * (kpa[i]! + 0.5 * part * rise);
  };
  const meanKpa = (channel: number, startS: number, endS: number): number =>
    (integralTo(channel, endS) - integralTo(channel, startS)) / (endS - startS);
  const meanRpm = (startS: number, endS: number): number =>
    (angleDegAt(endS) - angleDegAt(startS)) / 6 / (endS - startS);
  const cycleStartsS = run.intakeAnglesDeg.map((angle) => startsWithin(run, angle, timeAtAngleDeg));
  const cycleLengthFrom = (startS: number): number =>
    timeAtAngleDeg(angleDegAt(startS) + run.cycleDeg) - startS;
  return {
    cycleDeg: run.cycleDeg,
    baroKpa: run.baroKpa,
    durationS: run.durationS,
    cycleStartsS,
    cycleRpm: cycleStartsS.map((starts) => starts.map((s) => run.cycleDeg / 6 / cycleLengthFrom(s))),
    missedPulsesS: run.missedAnglesDeg.map((angles) =>
      Float64Array.from(angles, timeAtAngleDeg).filter((t) => t >= 0 && t <= run.durationS),
    ),
    deadChannels: run.deadChannels,
    meanKpa,
    meanVacuumKpa: (channel, startS, endS) => run.baroKpa - meanKpa(channel, startS, endS),
    kpaAt: (channel, timeS) => valueAt(run.kpa[channel]!, run, timeS),
    depthKpa: (channel, startS, endS) => depthWithin(run.kpa[channel]!, run, startS, endS),
    angleDegAt,
    timeAtAngleDeg,
    cycleLengthFrom,
    meanRpm,
    longRunVacuumKpa: run.longRunVacuumKpa,
    refillKpaPerS: run.refillKpaPerS,
  };
}

function valueAt(values: Float64Array, run: CleanRun, timeS: number): number {
  const position = (timeS - run.startS) / run.stepS;
  const i = Math.min(Math.max(Math.floor(position), 0), values.length - 2);
  const a = values[i]!;
  return a + (position - i) * (values[i + 1]! - a);
}

function runningIntegral(kpa: Float64Array, stepS: number): Float64Array {
  const sums = new Float64Array(kpa.length);
  for (let i = 1; i < kpa.length; i++) sums[i] = sums[i - 1]! + 0.5 * stepS * (kpa[i - 1]! + kpa[i]!);
  return sums;
}

function startsWithin(run: CleanRun, intakeDeg: number, timeAt: (deg: number) => number): Float64Array {
  const starts: number[] = [];
  for (let k = -1; ; k++) {
    const timeS = timeAt(intakeDeg + k * run.cycleDeg);
    if (timeS > run.durationS) break;
    if (timeS >= 0) starts.push(timeS);
  }
  return Float64Array.from(starts);
}

function depthWithin(kpa: Float64Array, run: CleanRun, startS: number, endS: number): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  const from = Math.max(0, Math.ceil((startS - run.startS) / run.stepS));
  const to = Math.min(kpa.length - 1, Math.floor((endS - run.startS) / run.stepS));
  for (let i = from; i <= to; i++) {
    low = Math.min(low, kpa[i]!);
    high = Math.max(high, kpa[i]!);
  }
  return high - low;
}
