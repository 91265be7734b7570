import { max, mean, median, min, rootMeanSquare, sampleStandardDeviation, sum } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import type { RoughnessFigures } from '../../../server/signal/reading.ts';
import type { Analysis } from '../../../server/signal/recording-analysis.ts';
import { HALF_SCORE_AT, roughnessOf } from '../../../server/signal/roughness.ts';
import type { Engine } from '../../engines/engine-recording.ts';
import type { EngineSpec } from '../../engines/engine-spec.ts';
import { fourierEngine } from '../../engines/fourier-engine.ts';
import { refillEngine } from '../../engines/refill-engine.ts';
import { analysed, toldRecording } from '../../property/told-recording.ts';

const SEED = 91;
const plain: EngineSpec = {
  seed: SEED,
  durationS: 20,
  sampleRateHz: 250,
  intakeAnglesDeg: [0, 270],
  rpm: 1000,
  cycleScatter: 0.008,
  depthScatter: 0.02,
  noiseKpa: 0.1,
  bits: 10,
};
const EVERY_EIGHTH = Array.from({ length: 18 }, (_, index) => ({
  channel: 1,
  cycle: 10 + 8 * index,
  strength: 0.1,
}));
const POPS = [3.01, 6.05, 9.03, 12.06, 15.02].map((atS) => ({ channel: 1, atS, kpa: 40 }));

const ENGINES: [string, Engine][] = [
  ['refill', refillEngine],
  ['fourier', fourierEngine],
];

describe.each(ENGINES)(`on the %s engine, seed ${SEED}`, (_, engine) => {
  const analysisOf = (more: Partial<EngineSpec> = {}): Analysis =>
    analysed(toldRecording(engine({ ...plain, ...more })));
  const healthy = analysisOf();
  const missing = analysisOf({ missed: EVERY_EIGHTH });
  const hunting = analysisOf({ hunting: { amplitudeRpm: 50, periodS: 2 } });
  const choppy = analysisOf({ cycleScatter: 0.04 });
  const popping = analysisOf({ pops: POPS });

  it.each([
    ['healthy', healthy],
    ['missing', missing],
    ['hunting', hunting],
    ['choppy', choppy],
    ['popping', popping],
  ])('each figure of a %s idle is its formula on the cycle table', (__, analysis) => {
    expectFormulas(analysis);
  });

  it('a healthy idle is even in every figure', () => {
    const { roughness } = healthy;
    expect(roughness.cycleLengthCovPercent).toBeLessThan(1.2);
    expect(roughness.choppinessPercent).toBeLessThan(1.7);
    expect(roughness.hunting).toBeNull();
    expect(roughness.score).toBeLessThan(25);
    for (const one of roughness.perCylinder) {
      expect(one.depthCovPercent).toBeLessThan(4);
      expect(one.missedPerMinute).toBe(0);
      expect(one.lowestNormalisedCycle).toBeGreaterThan(0.85);
    }
  });

  it('a cylinder that misses shows in its own pulses and in no figure of speed or of another cylinder', () => {
    const { roughness } = missing;
    const [other, own] = roughness.perCylinder;
    const told = missing.cylinders[1]!.missedPulsesS!;
    expect(told.length).toBe(EVERY_EIGHTH.length);
    // 18 misses in about 20 s.
    expect(own!.missedPerMinute).toBeGreaterThan(50);
    expect(own!.missedPerMinute).toBeLessThan(60);
    expect(own!.lowestNormalisedCycle).toBeLessThan(0.3);
    expect(own!.depthCovPercent).toBeGreaterThan(20);
    expect(other).toMatchObject({ missedPerMinute: 0 });
    expect(other!.lowestNormalisedCycle).toBeGreaterThan(0.85);
    expect(other!.depthCovPercent).toBeLessThan(4);
    expect(roughness.hunting).toBeNull();
    expectSpeedLike(roughness, healthy.roughness, 1.3);
  });

  it('a hunting idle shows as hunting and in the cycle length, hardly in choppiness, and misses nothing', () => {
    const { roughness } = hunting;
    expect(Math.abs(roughness.hunting!.amplitudeRpm - 50)).toBeLessThan(4);
    expect(Math.abs(roughness.hunting!.periodS - 2)).toBeLessThan(0.03);
    // The coefficient of variation of a sine is its amplitude over √2: 3.5 %.
    expect(roughness.cycleLengthCovPercent).toBeGreaterThan(3);
    const times = roughness.choppinessPercent! / healthy.roughness.choppinessPercent!;
    expect(times).toBeLessThan(
      0.5 * (roughness.cycleLengthCovPercent! / healthy.roughness.cycleLengthCovPercent!),
    );
    for (const one of roughness.perCylinder) expect(one.missedPerMinute).toBe(0);
    for (const one of roughness.perCylinder) expect(one.lowestNormalisedCycle).toBeGreaterThan(0.8);
  });

  it('a choppy idle shows in choppiness, not as hunting and not as missed pulses', () => {
    const { roughness } = choppy;
    expect(roughness.choppinessPercent).toBeGreaterThan(4.5);
    expect(roughness.hunting).toBeNull();
    for (const one of roughness.perCylinder) expect(one.missedPerMinute).toBe(0);
  });

  it('pops are no missed pulses, no hunting and no choppiness, and touch no other cylinder', () => {
    const { roughness } = popping;
    expect(roughness.perCylinder.map((one) => one.missedPerMinute)).toEqual([0, 0]);
    expect(roughness.hunting).toBeNull();
    expectSpeedLike(roughness, healthy.roughness, 1.05);
    const [other] = roughness.perCylinder;
    expect(other!.depthCovPercent).toBeCloseTo(healthy.roughness.perCylinder[0]!.depthCovPercent!, 0);
    expect(roughness.perCylinder[1]!.depthCovPercent).toBeGreaterThan(
      healthy.roughness.perCylinder[1]!.depthCovPercent!,
    );
  });

  it('each of them makes the score higher than the healthy idle has', () => {
    for (const analysis of [missing, hunting, choppy]) expect(analysis.roughness.score).toBeGreaterThan(40);
  });
});

describe('the figures by themselves', () => {
  const lengths = [0.12, 0.121, 0.119, 0.122, 0.118, 0.12, 0.121, 0.12, 0.119, 0.12];
  const input = {
    cycleTimesS: lengths.map((_, index) => 0.12 * index),
    cycleLengthsS: lengths,
    revolutions: 2,
    cylinders: [{ depthsKpa: [40, 41, 39, 40, 42, 38, 40, 41, 20, 40], missed: 1, observedS: 60 }],
  };

  it.each<[keyof typeof HALF_SCORE_AT, number]>([
    ['choppinessPercent', 6],
    ['huntingAmplitudePercent', 6],
    ['depthCovPercent', 25],
    ['missedPerMinute', 20],
  ])('%s of %d alone make a score of 50', (figure, value) => {
    expect(HALF_SCORE_AT[figure]).toBe(value);
    const even = Array.from({ length: 20 }, () => 0.12);
    // Successive differences of ±d make a root mean square of d.
    const step = figure === 'choppinessPercent' ? 0.12 * 0.03 : 0;
    const cycleLengthsS = even.map((length, index) => length + (index % 2 === 0 ? step : -step));
    // Of two depths in turn the standard deviation is half their difference, but for n - 1.
    const swing = figure === 'depthCovPercent' ? 40 * 0.25 * Math.sqrt(19 / 20) : 0;
    const depthsKpa = even.map((_, index) => 40 + (index % 2 === 0 ? swing : -swing));
    const missed = figure === 'missedPerMinute' ? 20 : 0;
    const known = figure === 'huntingAmplitudePercent' ? { amplitudeRpm: 60, periodS: 2 } : null;
    const { score } = roughnessOf(
      {
        cycleTimesS: even.map((length, index) => length * index),
        cycleLengthsS,
        revolutions: 2,
        cylinders: [{ depthsKpa, missed, observedS: 60 }],
      },
      known,
    );
    expect(score).toBeCloseTo(50, 1);
  });

  it('nothing uneven at all scores 0, and everything at once never more than 100', () => {
    const even = Array.from({ length: 20 }, () => 0.12);
    const cylinder = { depthsKpa: even.map(() => 40), missed: 0, observedS: 60 };
    const of = (cycleLengthsS: readonly number[], cylinders: (typeof cylinder)[]) =>
      roughnessOf(
        { cycleTimesS: even.map((_, i) => 0.12 * i), cycleLengthsS, revolutions: 2, cylinders },
        null,
      );
    expect(of(even, [cylinder]).score).toBe(0);
    const wild = of(
      even.map((_, i) => (i % 2 ? 0.04 : 0.3)),
      [{ ...cylinder, missed: 500 }],
    );
    expect(wild.score).toBeGreaterThan(99.9);
    expect(wild.score).toBeLessThanOrEqual(100);
  });

  it('fewer than eight cycles give no figure, and pulses that cannot be told give null, not 0', () => {
    const few = roughnessOf({ ...input, cycleTimesS: [0, 0.12], cycleLengthsS: [0.12, 0.13], cylinders: [] });
    expect(few).toEqual({
      score: null,
      cycleLengthCovPercent: null,
      choppinessPercent: null,
      hunting: null,
      perCylinder: [],
    });
    const silent = roughnessOf({ ...input, cylinders: [{ depthsKpa: [], missed: null, observedS: 2 }] });
    expect(silent.perCylinder).toEqual([
      { depthCovPercent: null, missedPerMinute: null, lowestNormalisedCycle: null },
    ]);
    expect(silent.score).not.toBeNull();
    const untold = roughnessOf({ ...input, cylinders: [{ ...input.cylinders[0]!, missed: null }] });
    expect(untold.perCylinder[0]).toMatchObject({ missedPerMinute: null, lowestNormalisedCycle: 0.5 });
  });
});

function expectFormulas(analysis: Analysis): void {
  const { roughness } = analysis;
  const lengths = analysis.engineCycleTable.map(({ startS, endS }) => endS - startS);
  const differences = lengths.slice(1).map((length, index) => length - lengths[index]!);
  expect(roughness.cycleLengthCovPercent).toBeCloseTo(
    (100 * sampleStandardDeviation(lengths)) / mean(lengths),
    8,
  );
  expect(roughness.choppinessPercent).toBeCloseTo((100 * rootMeanSquare(differences)) / mean(lengths), 8);
  roughness.perCylinder.forEach((one, cylinder) => {
    const { cycleTable, missedPulsesS } = analysis.cylinders[cylinder]!;
    const depths = cycleTable.map((row) => row.pulseDepthKpa).filter((kpa) => kpa !== null);
    expect(one.depthCovPercent).toBeCloseTo((100 * sampleStandardDeviation(depths)) / mean(depths), 8);
    expect(one.lowestNormalisedCycle).toBeCloseTo(Math.max(0, min(depths) / median(depths)), 8);
    expect(one.missedPerMinute).toBeCloseTo((60 * missedPulsesS!.length) / sum(lengths), 8);
  });
  const idleRpm = 120 / mean(lengths);
  const parts =
    roughness.choppinessPercent! / 6 +
    (100 * (roughness.hunting?.amplitudeRpm ?? 0)) / idleRpm / 6 +
    max(roughness.perCylinder.map((one) => one.depthCovPercent!)) / 25 +
    sum(roughness.perCylinder.map((one) => one.missedPerMinute!)) / 20;
  expect(roughness.score).toBeCloseTo(100 * (1 - 0.5 ** parts), 6);
}

/** Both speed figures within a factor of the other's. */
function expectSpeedLike(one: RoughnessFigures, other: RoughnessFigures, factor: number): void {
  for (const figure of ['cycleLengthCovPercent', 'choppinessPercent'] as const) {
    expect(one[figure]! / other[figure]!).toBeGreaterThan(1 / factor);
    expect(one[figure]! / other[figure]!).toBeLessThan(factor);
  }
}
