import type { EngineRecording } from '../engines/engine-recording.ts';
import type { Analysis } from './analyser.ts';
import { type CycleMeanErrors, cycleMeanErrors } from './cycle-mean-error.ts';
import { type DetectionCount, missedPulseScore } from './missed-pulse-score.ts';
import { type SpeedErrors, speedErrors } from './speed-error.ts';

export interface Judgement {
  readonly means: CycleMeanErrors;
  readonly speed: SpeedErrors;
  readonly missed: DetectionCount;
}

/**
 * Everything that one offline analysis can be judged by.
 *
 * @param channels channels whose cycles are judged; default all that have a pulse and no sensor fault
 */
export function judge(
  recording: EngineRecording,
  analysis: Analysis,
  channels: readonly number[] = soundChannels(recording),
): Judgement {
  return {
    means: cycleMeanErrors(analysis, recording.truth, channels),
    speed: speedErrors(analysis, recording.truth),
    missed: missedPulseScore(analysis, recording.truth, channels),
  };
}

export function soundChannels({ spec, truth, kpa }: EngineRecording): number[] {
  const faulty = new Set((spec.faults ?? []).map((fault) => fault.channel));
  return kpa.map((_, i) => i).filter((i) => !truth.deadChannels[i] && !faulty.has(i));
}
