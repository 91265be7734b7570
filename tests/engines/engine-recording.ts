import type { CleanRun } from './clean-run.ts';
import type { EngineSpec } from './engine-spec.ts';
import { type EngineTruth, engineTruth } from './engine-truth.ts';
import { hoseOf, throughHose } from './hose-response.ts';
import { seededRandom } from './seeded-random.ts';
import { applyHoseFaults, type SampledRows, sampled } from './sensing.ts';

export interface EngineRecording extends SampledRows {
  readonly spec: EngineSpec;
  readonly truth: EngineTruth;
}

export type Engine = (spec: EngineSpec) => EngineRecording;

/** Stream of chance that sensing draws from: the same engine run can be heard through different sensors. */
const SENSING_STREAM = 7;

/** From the taps to the rows: swapped hoses, hoses, fallen hoses, then the sensors and the converter. */
export function recordingOf(atTaps: CleanRun, spec: EngineSpec): EngineRecording {
  const run = withSwappedHoses(atTaps, spec);
  const meanRpm = (run.angleDeg.at(-1)! - run.angleDeg[0]!) / 6 / (run.stepS * (run.angleDeg.length - 1));
  run.kpa.forEach((kpa, channel) => {
    throughHose(kpa, run.stepS, run.cycleDeg / 6 / meanRpm, hoseOf(spec, channel));
  });
  applyHoseFaults(run, spec);
  return {
    spec,
    ...sampled(run, spec, seededRandom(spec.seed, SENSING_STREAM)),
    truth: engineTruth(run),
  };
}

function withSwappedHoses(run: CleanRun, spec: EngineSpec): CleanRun {
  if (!spec.swappedHoses) return run;
  const [a, b] = spec.swappedHoses;
  const swap = <T>(list: readonly T[]): T[] => {
    const copy = list.slice();
    [copy[a], copy[b]] = [list[b]!, list[a]!];
    return copy;
  };
  return {
    ...run,
    kpa: swap(run.kpa),
    intakeAnglesDeg: swap(run.intakeAnglesDeg),
    missedAnglesDeg: swap(run.missedAnglesDeg),
    deadChannels: swap(run.deadChannels),
    longRunVacuumKpa: swap(run.longRunVacuumKpa),
    refillKpaPerS: swap(run.refillKpaPerS),
  };
}
