import { YIN } from 'pitchfinder';
import type { EngineRecording } from '../engines/engine-recording.ts';
import { addError, type ErrorTally, errorTally } from '../truth/error-tally.ts';

/**
 * A general pitch-period finder on one channel, for comparison: YIN (de Cheveigné and Kawahara, J. Acoust. Soc. Am.
 * 111(4), 2002) as the package pitchfinder has it, with its own threshold of 0.1, on windows of one second. It has no word for a pulse that
 * comes several times in a cycle or a dead cylinder: it is only given channels with one sound pulse.
 */
export interface YinFigures {
  readonly percent: ErrorTally;
  harmonics: number;
  windows: number;
  spentMs: number;
}

const RATE_HZ = 1024;
const WINDOW = 1024;
/** The package uses the greatest power of two below what it is given. */
const GIVEN = WINDOW + 1;
const HARMONIC_PERCENT = 20;

export function yinFigures(): YinFigures {
  return { percent: errorTally(), harmonics: 0, windows: 0, spentMs: 0 };
}

export function tryYin(into: YinFigures, recording: EngineRecording, channel: number): void {
  const { truth } = recording;
  const detect = YIN({ sampleRate: RATE_HZ });
  const resampled = evenly(recording, channel);
  for (let from = 0; from + GIVEN <= resampled.length; from += WINDOW) {
    const begin = performance.now();
    const pitchHz = detect(resampled.subarray(from, from + GIVEN));
    into.spentMs += performance.now() - begin;
    into.windows++;
    const rpm = ((pitchHz ?? 0) * truth.cycleDeg) / 6;
    const trueRpm = truth.meanRpm(from / RATE_HZ, (from + WINDOW) / RATE_HZ);
    const percent = 100 * (rpm / trueRpm - 1);
    if (Math.abs(percent) > HARMONIC_PERCENT) into.harmonics++;
    else addError(into.percent, percent);
  }
}

/** Straight lines between the rows, at an even rate, about their mean. */
function evenly({ timeS, kpa }: EngineRecording, channel: number): Float32Array {
  const values = kpa[channel]!;
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  const out = new Float32Array(Math.floor(timeS.at(-1)! * RATE_HZ));
  let row = 0;
  for (let i = 0; i < out.length; i++) {
    const at = i / RATE_HZ;
    while (row + 2 < timeS.length && timeS[row + 1]! <= at) row++;
    const span = timeS[row + 1]! - timeS[row]!;
    const part = span > 0 ? (at - timeS[row]!) / span : 0;
    out[i] = values[row]! + part * (values[row + 1]! - values[row]!) - mean;
  }
  return out;
}
