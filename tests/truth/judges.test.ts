import { describe, expect, it } from 'vitest';
import type { EngineSpec } from '../engines/engine-spec.ts';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import type { Analyser } from './analyser.ts';
import { bias, rootMeanSquare } from './error-tally.ts';
import { heldShare, intervalCoverage } from './interval-coverage.ts';
import { judge } from './judge.ts';
import { f1Score } from './missed-pulse-score.ts';
import { type Mistakes, oracleAnalysis } from './oracle-analyser.ts';

const spec: EngineSpec = {
  seed: 5,
  durationS: 6,
  sampleRateHz: 500,
  intakeAnglesDeg: [0, 270],
  rpm: 1100,
  cycleScatter: 0.01,
  depthScatter: 0.1,
  missedChance: 0.06,
};

describe.each([
  ['refill engine', refillEngine(spec)],
  ['fourier engine', fourierEngine(spec)],
])('the judges, on the %s', (_name, recording) => {
  const judged = (mistakes?: Mistakes) => judge(recording, oracleAnalysis(recording, mistakes));

  it('find nothing wrong with the truth itself', () => {
    const { means, speed, missed } = judged();
    expect(means.window.count).toBeGreaterThan(100);
    expect(means.window.greatest).toBeLessThan(1e-9);
    expect(means.wholeCycle.greatest).toBeLessThan(1e-6);
    expect(means.nearest.greatest).toBeLessThan(1e-9);
    expect(means.notOneCycle).toBe(0);
    expect(means.covered).toBe(1);
    expect(speed.percent.greatest).toBeLessThan(1e-6);
    expect(speed.harmonics).toBe(0);
    expect(speed.covered).toBeGreaterThan(0.95);
    expect(speed.covered).toBeLessThanOrEqual(1.0001);
    expect(missed.found).toBeGreaterThan(2);
    expect(f1Score(missed)).toBe(1);
  });

  it('see a bias of the mean at its size', () => {
    const { means } = judged({ meanOffsetKpa: 0.03 });
    expect(bias(means.window)).toBeCloseTo(0.03, 9);
    expect(rootMeanSquare(means.window)).toBeCloseTo(0.03, 9);
    expect(bias(means.nearest)).toBeCloseTo(0.03, 9);
  });

  it('see a speed that is half a percent off at its size', () => {
    const { speed } = judged({ speedErrorPercent: 0.5 });
    expect(rootMeanSquare(speed.percent)).toBeCloseTo(0.5, 2);
    expect(speed.harmonics).toBe(0);
  });

  it.each([2, 3, 0.5])('count every cycle of %s times the true length as a harmonic', (lengthFactor) => {
    const { means, speed } = judged({ lengthFactor });
    expect(speed.cycles).toBeGreaterThan(15);
    expect(speed.harmonics).toBe(speed.cycles);
    expect(speed.percent.count).toBe(0);
    expect(means.notOneCycle).toBe(means.window.count);
    expect(means.covered).toBe(0);
  });

  it('see a window that is 1 % too long by what it does to the mean of the whole cycle', () => {
    const analysis = oracleAnalysis(recording);
    const stretched = {
      ...analysis,
      cylinders: analysis.cylinders.map((c, channel) => ({
        ...c,
        cycleTable: c.cycleTable.map((row) => {
          const endS = row.endS + 0.01 * (row.endS - row.startS);
          return { ...row, endS, meanVacuumKpa: recording.truth.meanVacuumKpa(channel, row.startS, endS) };
        }),
      })),
    };
    const { means } = judge(recording, stretched);
    expect(rootMeanSquare(means.window)).toBeLessThan(1e-9);
    expect(rootMeanSquare(means.wholeCycle)).toBeGreaterThan(0.03);
  });

  it('see that only a part was reported', () => {
    const { means, speed } = judged({ reportShare: 0.5 });
    expect(means.covered).toBeGreaterThan(0.4);
    expect(means.covered).toBeLessThan(0.55);
    expect(speed.covered).toBeLessThan(0.55);
  });

  it('count overlooked and invented missed pulses', () => {
    const all = judged().missed.found;
    const overlooked = judged({ overlookEvery: 2 }).missed;
    expect(overlooked.found + overlooked.overlooked).toBe(all);
    expect(overlooked.overlooked).toBeGreaterThan(0);
    const invented = judged({ inventMissed: 3 }).missed;
    expect(invented).toEqual({ found: all, falseAlarms: 6, overlooked: 0 });
    expect(f1Score(invented)).toBeCloseTo((2 * all) / (2 * all + 6), 12);
  });

  it('take a missed pulse that is told of a cycle away for a false alarm and an overlooked one', () => {
    const analysis = oracleAnalysis(recording);
    const shifted = {
      ...analysis,
      cylinders: analysis.cylinders.map((c) => ({
        ...c,
        missedPulsesS: c.missedPulsesS.map((t) => t + 0.6 * (120 / 1100)),
      })),
    };
    const { missed } = judge(recording, shifted);
    expect(missed.found).toBeLessThan(missed.overlooked);
    // One at either end may have been shifted out of what counts, or into it.
    expect(Math.abs(missed.falseAlarms - missed.overlooked)).toBeLessThanOrEqual(2);
    expect(missed.falseAlarms).toBeGreaterThan(2);
  });

  it('give no figure when nothing was reported', () => {
    const analysis = oracleAnalysis(recording, { reportShare: 0 });
    const { means, speed } = judge(recording, analysis);
    expect(rootMeanSquare(means.window)).toBeNaN();
    expect(rootMeanSquare(speed.percent)).toBeNaN();
    expect(means.covered).toBe(0);
    expect(speed.covered).toBe(0);
  });
});

describe('coverage of intervals', () => {
  const runs = (levelKpa: number) =>
    Array.from({ length: 150 }, (_, i) =>
      fourierEngine({
        seed: 900 + i,
        durationS: 4,
        sampleRateHz: 250,
        intakeAnglesDeg: [0, 360],
        rpm: 1200,
        depthScatter: 0.03,
        levelScatter: { sdKpa: levelKpa, correlation: 0.8 },
      }),
    );
  const analyserOf = (recordings: ReturnType<typeof runs>, mistakes?: Mistakes): Analyser => {
    let next = 0;
    return {
      analyse: () => oracleAnalysis(recordings[next++]!, mistakes),
      live: () => {
        throw new Error('not used');
      },
    };
  };

  it('is right for honest intervals of independent cycles, and shows those that are too narrow', () => {
    const recordings = runs(0);
    const honest = intervalCoverage(analyserOf(recordings), recordings);
    expect(honest.mean.intervals).toBe(300);
    // Binomial: 95.4 % of 300 has a standard deviation of 1.2 %.
    expect(heldShare(honest.mean)).toBeGreaterThan(0.92);
    expect(heldShare(honest.gap)).toBeGreaterThan(0.92);
    const narrow = intervalCoverage(analyserOf(recordings, { uncertaintyFactor: 0.4 }), recordings);
    expect(heldShare(narrow.mean)).toBeLessThan(0.75);
    expect(heldShare(narrow.gap)).toBeLessThan(0.75);
  });

  it('shows that correlated cycles taken for independent ones claim too much', () => {
    const recordings = runs(0.6);
    expect(heldShare(intervalCoverage(analyserOf(recordings), recordings).mean)).toBeLessThan(0.75);
  });

  it('counts what was withheld', () => {
    const recordings = runs(0).slice(0, 5);
    const silent: Analyser = {
      analyse: (_t, kpa) => ({
        cylinders: kpa.map(() => ({ cycleTable: [], vacuumKpa: null, missedPulsesS: [], state: 'no-pulse' })),
        engineCycles: [],
        gapsKpa: kpa.map(() => null),
      }),
      live: () => {
        throw new Error('not used');
      },
    };
    const { mean, gap } = intervalCoverage(silent, recordings);
    expect([mean.withheld, mean.intervals, gap.withheld]).toEqual([10, 0, 10]);
  });
});
