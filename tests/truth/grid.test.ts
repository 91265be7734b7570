import { describe, expect, it } from 'vitest';
import { bias, rootMeanSquare } from './error-tally.ts';
import { cases } from './grid.ts';
import { judgeCases, summarise } from './grid-run.ts';
import { TROUBLES } from './grid-troubles.ts';
import { naiveAnalyser } from './naive-analyser.ts';

const SEED = 2024;

describe('the grid of cases', () => {
  const list = cases(3000, SEED, { extremesShare: 0.05 });

  it('is the same for the same seed and another for another', () => {
    expect(cases(20, SEED).map((c) => c.label)).toEqual(cases(20, SEED).map((c) => c.label));
    expect(cases(20, SEED).map((c) => c.label)).not.toEqual(cases(20, SEED + 1).map((c) => c.label));
  });

  it('reaches everything that is promised', () => {
    const cylinders = new Set(list.map((c) => c.layout.intakeAnglesDeg.length));
    expect([...cylinders].sort((a, b) => a - b)).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(new Set(list.map((c) => c.spec.sampleRateHz))).toEqual(new Set([250, 500, 1000, 2000]));
    expect(new Set(list.map((c) => c.trouble))).toEqual(new Set(TROUBLES));
    expect(new Set(list.map((c) => c.engineName))).toEqual(new Set(['refill', 'fourier']));
    expect(new Set(list.map((c) => c.layout.strokes))).toEqual(new Set([2, 4]));
    const speeds = list.map((c) => c.rpm);
    expect(Math.min(...speeds)).toBe(300);
    expect(Math.max(...speeds)).toBe(8000);
    const inside = speeds.filter((rpm) => rpm !== 300 && rpm !== 8000);
    expect(Math.min(...inside)).toBeLessThan(620);
    expect(Math.max(...inside)).toBeGreaterThan(5800);
    expect(Math.max(...inside)).toBeLessThanOrEqual(6000);
    const noise = list.map((c) => c.spec.noiseKpa ?? 0);
    expect(Math.min(...noise)).toBeGreaterThanOrEqual(0.05);
    expect(Math.max(...noise)).toBeLessThanOrEqual(0.3);
    expect(list.every((c) => c.spec.bits === 10)).toBe(true);
  });

  it('has half of its cases healthy and leaves another cylinder where one is lost', () => {
    expect(list.filter((c) => c.trouble === 'healthy').length / list.length).toBeCloseTo(0.53, 1);
    for (const c of list) {
      if (c.trouble === 'dead cylinder') expect(c.layout.intakeAnglesDeg.length).toBeGreaterThan(1);
    }
  });

  it('keeps to its limits', () => {
    const few = cases(200, SEED, { minRpm: 700, maxRpm: 1300, troubles: ['spikes'], minSamplesPerCycle: 40 });
    for (const c of few) {
      expect(c.rpm).toBeGreaterThanOrEqual(700);
      expect(c.rpm).toBeLessThanOrEqual(1300);
      expect(c.trouble).toBe('spikes');
      expect(c.samplesPerCycle).toBeGreaterThanOrEqual(40);
    }
  });

  it('can be made and judged at every trouble, speed and rate, with finite samples in the range of the sensor', () => {
    const extremes = cases(60, SEED + 3, { extremesShare: 0.3 });
    for (const c of extremes) {
      const { kpa, timeS, truth } = c.engine(c.spec);
      expect(kpa.length).toBe(c.spec.intakeAnglesDeg.length);
      expect(truth.cycleStartsS[0]!.length).toBeGreaterThan(5);
      for (const channel of kpa) {
        expect(channel.length).toBe(timeS.length);
        expect(channel.every((p) => p >= 15 && p <= 115)).toBe(true);
      }
    }
  });
});

describe('a naive instrument on the grid', () => {
  it('reads an easy idle roughly right', () => {
    const easy = cases(25, SEED, {
      minRpm: 700,
      maxRpm: 1200,
      troubles: ['healthy'],
      minSamplesPerCycle: 100,
    });
    const refillOnly = easy.filter((c) => c.engineName === 'refill');
    expect(refillOnly.length).toBeGreaterThan(5);
    const summary = summarise(judgeCases(naiveAnalyser, refillOnly));
    expect(rootMeanSquare(summary.meanKpa)).toBeLessThan(0.3);
    expect(Math.abs(bias(summary.meanKpa))).toBeLessThan(0.1);
    expect(rootMeanSquare(summary.speedPercent)).toBeLessThan(5);
    expect(summary.covered.means).toBeGreaterThan(0.85);
  });

  it('is caught: harmonics under spikes, and a poor speed at few samples per cycle', () => {
    const spiked = summarise(judgeCases(naiveAnalyser, cases(25, SEED, { troubles: ['spikes'] })));
    expect(spiked.harmonics).toBeGreaterThan(0);
    const sparse = cases(25, SEED, { minRpm: 2500, troubles: ['healthy'], sampleRatesHz: [250] });
    expect(rootMeanSquare(summarise(judgeCases(naiveAnalyser, sparse)).speedPercent)).toBeGreaterThan(1);
  });
});
