import type { Engine } from '../engines/engine-recording.ts';
import type { EngineSpec } from '../engines/engine-spec.ts';
import { addError, errorTally, rootMeanSquare } from './error-tally.ts';

const TRIAL_S = 20;
const START = { cycleScatter: 0.005, depthScatter: 0.01 };

/**
 * The same engine at a steady idle, its chance so sized that the whole-cycle means of a cylinder scatter by what is
 * asked for, whatever the engine makes of its speed and strength.
 *
 * @param sdKpa standard deviation of the cycle means [kPa]
 */
export function steadyIdle(engine: Engine, spec: EngineSpec, sdKpa: number): EngineSpec {
  const steady = { ...spec, wander: { sd: 0.002, correlation: 0.9 }, levelSteps: [], openingSteps: [] };
  const trial = engine({ ...steady, ...START, durationS: TRIAL_S, sampleRateHz: 10 });
  const scatter = errorTally();
  trial.truth.cycleStartsS.forEach((starts, channel) => {
    const means = Array.from(starts.subarray(1), (end, k) =>
      trial.truth.meanVacuumKpa(channel, starts[k]!, end),
    );
    const mean = means.reduce((a, b) => a + b, 0) / means.length;
    for (const value of means) addError(scatter, value - mean);
  });
  const factor = sdKpa / rootMeanSquare(scatter);
  return {
    ...steady,
    cycleScatter: START.cycleScatter * factor,
    depthScatter: START.depthScatter * factor,
    wander: { sd: Math.min(0.002, 0.002 * factor), correlation: 0.9 },
  };
}
