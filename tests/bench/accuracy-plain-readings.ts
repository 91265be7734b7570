import type { EngineRecording } from '../engines/engine-recording.ts';
import { addError, type ErrorTally } from '../truth/error-tally.ts';
import { dampedKpa, damperTimeConstantS, movingAverageKpa } from '../truth/first-order-damper.ts';

/** Cycles in which the damper of the comparison follows a step to 90 %: as quick as the instrument must be. */
const DAMPER_CYCLES = 3;
const MOVING_AVERAGE_S = 1;
const SETTLED_S = 1.5;

/** How far a damper and a moving average are from each true cycle's mean at its end [kPa]. */
export function tryPlainReadings(
  damper: ErrorTally,
  movingAverage: ErrorTally,
  recording: EngineRecording,
  channel: number,
): void {
  const { truth, timeS } = recording;
  const starts = truth.cycleStartsS[channel]!;
  const response90S = DAMPER_CYCLES * truth.cycleLengthFrom(0);
  const damped = dampedKpa(timeS, recording.kpa[channel]!, damperTimeConstantS(response90S));
  const averaged = movingAverageKpa(timeS, recording.kpa[channel]!, MOVING_AVERAGE_S);
  let row = 0;
  for (let k = 1; k < starts.length; k++) {
    if (starts[k]! < SETTLED_S) continue;
    while (row + 1 < timeS.length && timeS[row + 1]! <= starts[k]!) row++;
    const trueKpa = truth.meanKpa(channel, starts[k - 1]!, starts[k]!);
    addError(damper, damped[row]! - trueKpa);
    addError(movingAverage, averaged[row]! - trueKpa);
  }
}
