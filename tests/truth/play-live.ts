import type { Reading } from '../../server/signal/reading.ts';
import type { EngineRecording } from '../engines/engine-recording.ts';
import { boardTimingOf, setupOf } from './analyse-recording-of.ts';
import type { Analyser } from './analyser.ts';

/**
 * Plays a recording into a live meter sample by sample and looks at its reading at even times.
 *
 * @param look called with the time of the newest sample [s] and the reading; returning false ends it
 */
export function playLive(
  analyser: Analyser,
  recording: EngineRecording,
  everyS: number,
  look: (timeS: number, reading: Reading) => boolean | undefined,
): void {
  const meter = analyser.live(setupOf(recording), boardTimingOf(recording.spec));
  const row = new Float64Array(recording.kpa.length);
  let next = everyS;
  for (let i = 0; i < recording.timeS.length; i++) {
    const timeS = recording.timeS[i]!;
    for (let channel = 0; channel < row.length; channel++) row[channel] = recording.kpa[channel]![i]!;
    meter.push(timeS, row);
    if (timeS < next) continue;
    if (look(timeS, meter.reading()) === false) return;
    next = timeS + everyS;
  }
}
