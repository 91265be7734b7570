import { analyseRecording } from '../../../../server/signal/analyse-recording.ts';
import { defaultEngineSetup } from '../../../../server/signal/engine-setup.ts';
import type { CycleRow } from '../../../../server/signal/recording-analysis.ts';

/** Every cycle of every cylinder, by the instrument's own measurement. */
export function cyclesOf(
  timeS: ArrayLike<number>,
  kpa: readonly ArrayLike<number>[],
  barometricKpa: number,
  strokes: 4 | 2 = 4,
): readonly (readonly CycleRow[])[] {
  const setup = { ...defaultEngineSetup(kpa.length), barometricKpa, strokes };
  return analyseRecording(timeS, kpa, setup, { keepCycles: true }).cylinders.map((one) => one.cycleTable);
}
