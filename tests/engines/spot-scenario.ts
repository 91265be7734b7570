import type { Engine, EngineRecording } from './engine-recording.ts';
import type { EngineSpec } from './engine-spec.ts';
import { seededRandom } from './seeded-random.ts';

/** A spot on the intake that was wetted from one time to another, and what that did. */
export interface Spot {
  readonly startS: number;
  readonly endS: number;
  /** What wetting it does: nothing, or closes a leak and so moves one cylinder or the idle. */
  readonly effect: 'none' | 'cylinder' | 'idle';
}

export interface SpotScenario {
  readonly recording: EngineRecording;
  readonly spots: readonly Spot[];
}

export interface SpotOptions {
  readonly seed: number;
  readonly spots?: number;
  /** Chance that a spot leaks. Default 0.4. */
  readonly leakChance?: number;
  /** How far a leak moves one cylinder [kPa]. Default 0.5. */
  readonly cylinderKpa?: number;
  /** How far a leak moves the idle, relative. Default 0.01. */
  readonly idleShare?: number;
  /** Slow drift of the idle that has nothing to do with the spots, relative, over the whole recording. Default 0.01. */
  readonly warmUpShare?: number;
}

const FIRST_S = 8;
const WETTED_S = 3;
const PAUSE_S = 6;
/** A leak is closed only once the water has reached it. */
const LONGEST_DELAY_S = 0.4;
const RISE_S = 0.3;

/** An engine at a steady idle while one spot of its intake after another is wetted. */
export function spotScenario(engine: Engine, base: EngineSpec, options: SpotOptions): SpotScenario {
  const random = seededRandom(options.seed, 71);
  const count = options.spots ?? 8;
  const spots: Spot[] = [];
  const levelSteps: { channel: number; atS: number; kpa: number }[] = [];
  const pushes: { fromS: number; toS: number; share: number }[] = [];
  const kpa = options.cylinderKpa ?? 0.5;
  const share = options.idleShare ?? 0.01;
  for (let i = 0; i < count; i++) {
    const startS = FIRST_S + i * (WETTED_S + PAUSE_S) + random.between(0, 1);
    const endS = startS + WETTED_S;
    const leaks = random.uniform() < (options.leakChance ?? 0.4);
    const effect = leaks ? (random.uniform() < 0.5 ? 'cylinder' : 'idle') : 'none';
    const delayS = random.between(0.05, LONGEST_DELAY_S);
    spots.push({ startS, endS, effect });
    if (effect === 'cylinder') {
      const channel = random.index(base.intakeAnglesDeg.length);
      // A closed leak lets the vacuum rise: the absolute pressure falls.
      levelSteps.push({ channel, atS: startS + delayS, kpa: -kpa }, { channel, atS: endS + delayS, kpa });
    }
    if (effect === 'idle') {
      pushes.push({
        fromS: startS + delayS,
        toS: endS + delayS,
        share: random.uniform() < 0.5 ? -share : share,
      });
    }
  }
  const durationS = FIRST_S + count * (WETTED_S + PAUSE_S) + 2;
  const idleRpm = typeof base.rpm === 'number' ? base.rpm : base.rpm(0);
  const warmUp = options.warmUpShare ?? 0.01;
  const rpm = (timeS: number): number => {
    let factor = 1 + (warmUp * timeS) / durationS;
    for (const push of pushes) {
      factor += push.share * (eased((timeS - push.fromS) / RISE_S) - eased((timeS - push.toS) / RISE_S));
    }
    return idleRpm * factor;
  };
  return { recording: engine({ ...base, seed: options.seed, durationS, levelSteps, rpm }), spots };
}

function eased(part: number): number {
  const x = Math.min(Math.max(part, 0), 1);
  return x * x * (3 - 2 * x);
}
