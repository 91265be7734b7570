import { analyseRecording } from '../../server/signal/analyse-recording.ts';
import type { EngineSetup } from '../../server/signal/engine-setup.ts';
import type { Analysis, AnalysisOptions } from '../../server/signal/recording-analysis.ts';
import type { EngineRecording } from '../engines/engine-recording.ts';
import { boardTimingOf, setupOf } from '../truth/analyse-recording-of.ts';

/** A recording with all that the measurement is told of it, so that a test can change one and the other together. */
export interface ToldRecording {
  readonly timeS: Float64Array;
  readonly kpa: readonly Float64Array[];
  readonly setup: EngineSetup;
  readonly channelDelaysS: readonly number[];
}

export function toldRecording(recording: EngineRecording): ToldRecording {
  return {
    timeS: recording.timeS,
    kpa: recording.kpa,
    setup: setupOf(recording),
    channelDelaysS: boardTimingOf(recording.spec).channelDelaysS,
  };
}

export function analysed(told: ToldRecording, options: AnalysisOptions = {}): Analysis {
  const { channelDelaysS } = told;
  return analyseRecording(told.timeS, told.kpa, told.setup, { keepCycles: true, channelDelaysS, ...options });
}

/** The list with its entries at other places: place i gets what was at `places[i]`. */
export function reordered<T>(list: readonly T[], places: readonly number[]): T[] {
  return places.map((place) => list[place]!);
}

export function inOtherChannels(told: ToldRecording, places: readonly number[]): ToldRecording {
  return {
    timeS: told.timeS,
    kpa: reordered(told.kpa, places),
    setup: { ...told.setup, pulsesPerCycle: reordered(told.setup.pulsesPerCycle, places) },
    channelDelaysS: reordered(told.channelDelaysS, places),
  };
}
