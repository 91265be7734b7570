import { describe, expect, it } from 'vitest';
import { bias, rootMeanSquare } from './error-tally.ts';
import { cases } from './grid.ts';
import { judgeCases, summarise } from './grid-run.ts';
import { type CaseTrouble, HARDWARE_TROUBLES, TROUBLES } from './grid-troubles.ts';
import { instrumentAnalyser } from './instrument-analyser.ts';
import { f1Score } from './missed-pulse-score.ts';

/** A small seeded part of what `npm run bench` judges at length, against engines that the measurement was not made on. */
const SEED = 4242;
const engineTroubles = TROUBLES.filter((trouble) => !HARDWARE_TROUBLES.includes(trouble));
// A speed that doubles within two cycles, and equal pulses on one tap, are judged by the bench.
const BENCH_ONLY: readonly CaseTrouble[] = ['shared manifold', 'blip'];
const ownThrottles = engineTroubles.filter((trouble) => !BENCH_ONLY.includes(trouble));

describe(`the instrument on simulated engines, seed ${SEED}`, () => {
  it('tells the mean of every idle cycle to 0.05 kPa and without bias', () => {
    const list = cases(40, SEED, { minRpm: 600, maxRpm: 1500, troubles: engineTroubles });
    const summary = summarise(judgeCases(instrumentAnalyser, list));
    expect(summary.meanKpa.count).toBeGreaterThan(2000);
    expect(rootMeanSquare(summary.meanKpa)).toBeLessThan(0.05);
    expect(rootMeanSquare(summary.wholeCycleKpa)).toBeLessThan(0.05);
    expect(Math.abs(bias(summary.meanKpa))).toBeLessThan(0.02);
    expect(rootMeanSquare(summary.caseBiasKpa)).toBeLessThan(0.02);
    expect(summary.covered.means).toBeGreaterThan(0.9);
  });

  it('tells the speed of every cycle to 0.3 % and never another harmonic, also with a dead cylinder', () => {
    const list = cases(80, SEED + 1, { troubles: ownThrottles, minSamplesPerCycle: 12 });
    const summary = summarise(judgeCases(instrumentAnalyser, list));
    expect(summary.engineCycles).toBeGreaterThan(4000);
    expect(summary.harmonics).toBe(0);
    expect(summary.windowsNotOneCycle).toBe(0);
    expect(rootMeanSquare(summary.speedPercent)).toBeLessThan(0.3);
    expect(summary.covered.speed).toBeGreaterThan(0.9);
  });

  it('finds missed pulses among pulses that scatter by 10 %: F1 of 0.97 or more', () => {
    const list = cases(40, SEED + 2, { troubles: ['missed pulses'], minSamplesPerCycle: 12 });
    const { missed } = summarise(judgeCases(instrumentAnalyser, list));
    expect(missed.found).toBeGreaterThan(100);
    expect(f1Score(missed)).toBeGreaterThanOrEqual(0.97);
  });
});
