import type { EngineRecording } from '../engines/engine-recording.ts';
import type { Analyser } from './analyser.ts';
import { playLive } from './play-live.ts';

export interface StepResponse {
  /** Cycles of the crank from the step until the gap is first within 10 % of its new value; null: never. */
  readonly cyclesToGap: number | null;
  /** The same in seconds. */
  readonly secondsToGap: number | null;
  /** Cycles until the gap is within 20 % and stays there for the rest of the recording; null: never. */
  readonly cyclesToStay: number | null;
  /** Cycles until the channel's reading leaves 'steady'; null: never. */
  readonly cyclesToFlag: number | null;
  /** The channel was steady just before the step. */
  readonly steadyBefore: boolean;
}

const LOOKS_PER_CYCLE = 8;
const WITHIN = 0.1;
const STAYS_WITHIN = 0.2;

/** What a live meter makes of one step at a known time on one channel of a recording. */
export function stepResponse(
  analyser: Analyser,
  recording: EngineRecording,
  channel: number,
  stepAtS: number,
): StepResponse {
  const { truth } = recording;
  const cycleS = truth.cycleLengthFrom(stepAtS);
  const gapOver = (fromS: number, toS: number): number => {
    const vacuums = recording.kpa.map((_, i) => truth.meanVacuumKpa(i, fromS, toS));
    return vacuums[channel]! - vacuums.reduce((a, b) => a + b, 0) / vacuums.length;
  };
  const wholeCycles = Math.floor((truth.durationS - stepAtS) / cycleS) - 3;
  const newGap = gapOver(
    stepAtS + 2 * cycleS,
    truth.timeAtAngleDeg(truth.angleDegAt(stepAtS + 2 * cycleS) + wholeCycles * truth.cycleDeg),
  );
  const before = Math.floor(stepAtS / cycleS) - 1;
  const oldGap = gapOver(truth.timeAtAngleDeg(truth.angleDegAt(stepAtS) - before * truth.cycleDeg), stepAtS);
  const stepKpa = Math.abs(newGap - oldGap);
  const cyclesSince = (timeS: number): number =>
    (truth.angleDegAt(timeS) - truth.angleDegAt(stepAtS)) / truth.cycleDeg;

  let reachedS: number | null = null;
  let stayedFromS: number | null = null;
  let flaggedS: number | null = null;
  let steadyBefore = false;
  playLive(analyser, recording, cycleS / LOOKS_PER_CYCLE, (timeS, reading) => {
    const cylinder = reading.cylinders[channel]!;
    if (timeS <= stepAtS) {
      steadyBefore = cylinder.settling === 'steady';
      return undefined;
    }
    if (flaggedS === null && cylinder.settling !== 'steady') flaggedS = timeS;
    const error = cylinder.gapKpa === null ? Number.POSITIVE_INFINITY : Math.abs(cylinder.gapKpa - newGap);
    if (reachedS === null && error <= WITHIN * stepKpa) reachedS = timeS;
    if (error > STAYS_WITHIN * stepKpa) stayedFromS = null;
    else stayedFromS ??= timeS;
    return undefined;
  });
  const cycles = (timeS: number | null): number | null => (timeS === null ? null : cyclesSince(timeS));
  return {
    cyclesToGap: cycles(reachedS),
    secondsToGap: reachedS === null ? null : reachedS - stepAtS,
    cyclesToStay: cycles(stayedFromS),
    cyclesToFlag: cycles(flaggedS),
    steadyBefore,
  };
}
