import { defaultEngineSetup, type EngineSetup } from '../../server/signal/engine-setup.ts';
import type { EngineRecording } from '../engines/engine-recording.ts';
import type { EngineSpec } from '../engines/engine-spec.ts';
import type { Analyser, Analysis, BoardTiming } from './analyser.ts';

export type { Analyser } from './analyser.ts';

/** Pulses that each channel's hose sees in a cycle: all that an analyser may know of the layout. */
export function pulsesPerCycleOf(spec: EngineSpec): readonly number[] {
  return spec.intakeAnglesDeg.map((_, tap) => 1 + (spec.furtherPulsesDeg?.[tap]?.length ?? 0));
}

export function analyseRecording(analyser: Analyser, recording: EngineRecording): Analysis {
  return analyser.analyse(recording.timeS, recording.kpa, {
    baroKpa: recording.truth.baroKpa,
    strokes: recording.spec.strokes ?? 4,
    pulsesPerCycle: pulsesPerCycleOf(recording.spec),
    ...boardTimingOf(recording.spec),
  });
}

export function boardTimingOf(spec: EngineSpec): BoardTiming {
  return { channelDelaysS: spec.intakeAnglesDeg.map((_, channel) => channel * (spec.skewS ?? 0)) };
}

export function setupOf(recording: EngineRecording): EngineSetup {
  return {
    ...defaultEngineSetup(recording.kpa.length),
    strokes: recording.spec.strokes ?? 4,
    pulsesPerCycle: pulsesPerCycleOf(recording.spec),
    barometricKpa: recording.truth.baroKpa,
  };
}
