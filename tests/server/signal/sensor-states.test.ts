import { describe, expect, it } from 'vitest';
import { analyseRecording } from '../../../server/signal/analyse-recording.ts';
import type { SensorState } from '../../../server/signal/reading.ts';
import { SampleHistory } from '../../../server/signal/sample-history.ts';
import { type SensorContext, sensorState } from '../../../server/signal/sensor-watch.ts';
import type { Engine, EngineRecording } from '../../engines/engine-recording.ts';
import type { EngineSpec } from '../../engines/engine-spec.ts';
import { fourierEngine } from '../../engines/fourier-engine.ts';
import { refillEngine } from '../../engines/refill-engine.ts';
import { seededRandom } from '../../engines/seeded-random.ts';
import { setupOf } from '../../truth/analyse-recording-of.ts';
import { playedLive, withColumn } from './played-live.ts';

const SEEDS = [11];
const ENGINES: [string, Engine][] = [
  ['refill', refillEngine],
  ['fourier', fourierEngine],
];
const TROUBLED = 1;
const plain: Omit<EngineSpec, 'seed'> = {
  durationS: 4,
  sampleRateHz: 500,
  intakeAnglesDeg: [0, 270, 450],
  rpm: 1000,
  cycleScatter: 0.01,
  depthScatter: 0.02,
  noiseKpa: 0.1,
  bits: 10,
};
const RANGE = { lowestKpa: 15, highestKpa: 115 };

interface Case {
  readonly what: string;
  readonly state: SensorState;
  readonly spec?: Partial<EngineSpec>;
  readonly column?: (seed: number) => (kpa: number, timeS: number) => number;
  readonly ranged?: boolean;
}

const CASES: readonly Case[] = [
  { what: 'a sound sensor', state: 'ok' },
  { what: 'a hose that is off', state: 'open-to-air', spec: fault('off') },
  { what: 'a kinked hose', state: 'blocked', spec: fault('blocked') },
  { what: 'a sensor that never moves', state: 'dead', column: () => () => 61.3 },
  { what: 'a sensor without a sample', state: 'dead', column: () => () => Number.NaN },
  {
    what: 'a sensor at the end of its known range',
    state: 'saturated',
    spec: fault('saturated'),
    ranged: true,
  },
  { what: 'a pulse cut off at the top', state: 'saturated', column: () => (kpa) => Math.min(kpa, 70) },
  {
    what: 'single samples that scatter by 12 kPa',
    state: 'noisy',
    spec: { durationS: 12 },
    column: (seed) => {
      const random = seededRandom(seed, 41);
      return (kpa) => kpa + 12 * random.normal();
    },
  },
];
const NO_READING: readonly SensorState[] = ['open-to-air', 'blocked', 'dead', 'saturated'];

describe.each(ENGINES)('on the %s engine', (_, engine) => {
  const made = (seed: number, one: Case): EngineRecording => {
    const recording = engine({ ...plain, ...one.spec, seed });
    return one.column ? withColumn(recording, TROUBLED, one.column(seed)) : recording;
  };
  const ranges = (one: Case) => (one.ranged ? { sensorRanges: plain.intakeAnglesDeg.map(() => RANGE) } : {});

  describe.each(SEEDS)('with seed %i', (seed) => {
    it.each(CASES)('$what is found in a recording to be $state', (one) => {
      const recording = made(seed, one);
      const analysis = analyseRecording(recording.timeS, recording.kpa, setupOf(recording), ranges(one));
      expect(analysis.cylinders.map((cylinder) => cylinder.state)).toEqual(['ok', one.state, 'ok']);
      expect(analysis.gapsKpa[0]).not.toBeNull();
      expect(analysis.gapsKpa[2]).not.toBeNull();
      if (NO_READING.includes(one.state)) {
        expect(analysis.gapsKpa[TROUBLED]).toBeNull();
        // The mean of the two that are sound is as far from one as from the other.
        expect(analysis.gapsKpa[0]!.value).toBeCloseTo(-analysis.gapsKpa[2]!.value, 9);
      }
    });

    it.each(CASES.filter(({ state }) => state !== 'noisy'))('$what is shown live as $state', (one) => {
      const recording = made(seed, one);
      const { cylinders, engine: shown } = playedLive(recording, ranges(one)).reading();
      expect(cylinders.map((cylinder) => cylinder.sensor)).toEqual(['ok', one.state, 'ok']);
      expect(shown.speedRpm! / recording.truth.meanRpm(3, 4)).toBeCloseTo(1, 1);
      if (!NO_READING.includes(one.state)) return;
      expect(cylinders[TROUBLED]).toMatchObject({ vacuumKpa: null, gapKpa: null, lastCycleKpa: null });
      expect(cylinders[TROUBLED]).toMatchObject({ pulseDepthKpa: null, verdict: 'not-sure', cycles: 0 });
      expect(cylinders[0]!.gapKpa).toBeCloseTo(-cylinders[2]!.gapKpa!, 9);
    });
  });

  it.each(SEEDS)('a dead engine is no sensor fault: all are without a pulse (seed %i)', (seed) => {
    const random = seededRandom(seed, 42);
    const recording = engine({ ...plain, seed, durationS: 2 });
    const still = { ...recording, kpa: recording.kpa.map((c) => c.map(() => 101.3 + 0.1 * random.normal())) };
    const reading = playedLive(still).reading();
    expect(reading.engine).toMatchObject({ running: false, speedRpm: null, idleRpm: null });
    expect(reading.cylinders.map((one) => one.sensor)).toEqual(['no-pulse', 'no-pulse', 'no-pulse']);
    const analysis = analyseRecording(still.timeS, still.kpa, setupOf(still));
    expect(analysis.cylinders.map((one) => one.state)).toEqual(['no-pulse', 'no-pulse', 'no-pulse']);
  });
});

/** The same question without an engine: two seconds of samples, and what the instrument knows beside them. */
describe('by its samples alone', () => {
  const following: SensorContext = {
    engineRuns: true,
    steers: true,
    residualKpa: 0.2,
    usualDepthKpa: 40,
    barometricKpa: 101.3,
    range: null,
  };
  const notFollowing = { ...following, steers: false };
  const random = seededRandom(43);
  const noise = (sdKpa: number): number => sdKpa * random.normal();
  const pulse = (timeS: number): number => 70 + 15 * Math.sin(2 * Math.PI * 8.3 * timeS);

  it.each<[string, SensorState, (timeS: number) => number, SensorContext]>([
    ['a pulse that is timed', 'ok', (t) => pulse(t) + noise(0.1), following],
    ['the same, scattering beyond what a sensor may', 'noisy', pulse, { ...following, residualKpa: 6 }],
    ['a small pulse with 2 kPa of scatter', 'noisy', () => 60 + noise(2), { ...following, residualKpa: 2 }],
    ['a small pulse with 1 kPa of scatter', 'ok', () => 60 + noise(1), { ...following, residualKpa: 1 }],
    ['a pulse nobody can time', 'no-pulse', (t) => pulse(t) + noise(0.1), notFollowing],
    ['air, the engine running', 'open-to-air', () => 101.3 + noise(0.1), notFollowing],
    ['1.5 kPa below air, the engine running', 'open-to-air', () => 99.8 + noise(0.1), notFollowing],
    ['flat at 60 kPa, the engine running', 'blocked', () => 60 + noise(0.1), notFollowing],
    [
      'air, the engine standing',
      'no-pulse',
      () => 101.3 + noise(0.1),
      { ...notFollowing, engineRuns: false },
    ],
    ['one value for ever', 'dead', () => 60, following],
    ['missing samples', 'dead', () => Number.NaN, following],
    ['a third of a wave cut off', 'saturated', (t) => Math.max(62, pulse(t)), following],
  ])('%s: %s', (_, state, kpaAt, context) => {
    const history = new SampleHistory([0]);
    for (let row = 0; row < 1000; row++) history.push(row / 500, [kpaAt(row / 500)]);
    expect(sensorState(history, 0, context)).toBe(state);
  });

  it('too few samples to tell say no-pulse, whatever they are', () => {
    const history = new SampleHistory([0]);
    for (let row = 0; row < 10; row++) history.push(row / 500, [60]);
    expect(sensorState(history, 0, following)).toBe('no-pulse');
  });

  it('a known range tells saturation from a wave that only touches its end', () => {
    const shares = [0.03, 0.1].map((share) => {
      const history = new SampleHistory([0]);
      for (let row = 0; row < 1000; row++) {
        history.push(row / 500, [row % 100 < 100 * share ? 15 : pulse(row / 500) + noise(0.1)]);
      }
      return sensorState(history, 0, { ...following, range: RANGE });
    });
    expect(shares).toEqual(['ok', 'saturated']);
  });
});

function fault(kind: 'off' | 'blocked' | 'saturated'): Partial<EngineSpec> {
  return { faults: [{ channel: TROUBLED, fromS: 0, kind }] };
}
