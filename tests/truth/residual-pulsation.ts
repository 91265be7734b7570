import type { EngineRecording } from '../engines/engine-recording.ts';
import type { Analyser } from './analyser.ts';
import { addError, errorTally, rootMeanSquare } from './error-tally.ts';
import { dampedKpa, damperTimeConstantS, movingAverageKpa } from './first-order-damper.ts';
import { playLive } from './play-live.ts';

export interface ResidualPulsation {
  /** Root mean square of the displayed vacuum about the true mean [kPa]. */
  readonly displayedKpa: number;
  /** Root mean square of the newest cycle's mean about the true mean [kPa]. */
  readonly lastCycleKpa: number;
  readonly damperKpa: number;
  readonly movingAverageKpa: number;
  /** How many times less the display moves than the damper. */
  readonly timesLess: number;
}

const LOOK_EVERY_S = 0.01;
const MOVING_AVERAGE_S = 1;

/**
 * What is left of the pulsation in the reading of an engine that does not change at all, beside a first-order damper
 * that is as quick, on the same samples.
 *
 * @param fromS start of the comparison [s]
 * @param response90S the meter's own 90 % response time [s], measured on a step
 */
export function residualPulsation(
  analyser: Analyser,
  recording: EngineRecording,
  channel: number,
  fromS: number,
  response90S: number,
): ResidualPulsation {
  const { truth, timeS } = recording;
  const cycles = Math.floor((truth.durationS - fromS) / truth.cycleLengthFrom(fromS));
  const toS = truth.timeAtAngleDeg(truth.angleDegAt(fromS) + cycles * truth.cycleDeg);
  const trueKpa = truth.meanVacuumKpa(channel, fromS, toS);
  const displayed = errorTally();
  const lastCycle = errorTally();
  playLive(analyser, recording, LOOK_EVERY_S, (atS, reading) => {
    if (atS < fromS || atS > toS) return undefined;
    const { vacuumKpa, lastCycleKpa } = reading.cylinders[channel]!;
    if (vacuumKpa !== null) addError(displayed, vacuumKpa - trueKpa);
    if (lastCycleKpa !== null) addError(lastCycle, lastCycleKpa - trueKpa);
    return undefined;
  });
  const about = (kpa: Float64Array): number => {
    const tally = errorTally();
    timeS.forEach((t, i) => {
      if (t >= fromS && t <= toS) addError(tally, truth.baroKpa - kpa[i]! - trueKpa);
    });
    return rootMeanSquare(tally);
  };
  const samples = recording.kpa[channel]!;
  // It starts on the true mean: its own settling is no pulsation.
  const start = truth.baroKpa - trueKpa;
  const damperKpa = about(dampedKpa(timeS, samples, damperTimeConstantS(response90S), start));
  return {
    displayedKpa: rootMeanSquare(displayed),
    lastCycleKpa: rootMeanSquare(lastCycle),
    damperKpa,
    movingAverageKpa: about(movingAverageKpa(timeS, samples, MOVING_AVERAGE_S)),
    timesLess: damperKpa / rootMeanSquare(displayed),
  };
}
