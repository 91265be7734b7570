import { Instrument, type InstrumentOptions } from '../../../server/signal/instrument.ts';
import type { Reading } from '../../../server/signal/reading.ts';
import type { EngineRecording } from '../../engines/engine-recording.ts';
import { setupOf } from '../../truth/analyse-recording-of.ts';

export interface LiveOptions extends InstrumentOptions {
  readonly intakeAnglesDeg?: readonly number[];
  /** A look at the reading every so often [s]; 0: only after the last row. */
  readonly everyS?: number;
  readonly look?: (reading: Reading, timeS: number) => void;
}

/** Plays a recording into an instrument and gives it back as it stands after the last row. */
export function playedLive(recording: EngineRecording, options: LiveOptions = {}): Instrument {
  const { intakeAnglesDeg = null, everyS = 0, look } = options;
  const instrument = new Instrument({ ...setupOf(recording), intakeAnglesDeg }, options);
  const row = new Float64Array(recording.kpa.length);
  let dueS = everyS;
  for (let index = 0; index < recording.timeS.length; index++) {
    const timeS = recording.timeS[index]!;
    for (let channel = 0; channel < row.length; channel++) row[channel] = recording.kpa[channel]![index]!;
    instrument.push(timeS, row);
    if (!look || everyS === 0 || timeS < dueS) continue;
    look(instrument.reading(), timeS);
    dueS = timeS + everyS;
  }
  return instrument;
}

/** The same recording with one column as `change` makes it. */
export function withColumn(
  recording: EngineRecording,
  channel: number,
  change: (kpa: number, timeS: number) => number,
): EngineRecording {
  const kpa = recording.kpa.map((column, index) =>
    index === channel ? column.map((value, row) => change(value, recording.timeS[row]!)) : column,
  );
  return { ...recording, kpa };
}
