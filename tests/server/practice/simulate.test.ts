import { standardDeviation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { idleTurnsForSpeed } from '../../../server/practice/idle-speed.ts';
import { simulate } from '../../../server/practice/simulate.ts';

describe('simulate', () => {
  it('answers columns of one length, with every sample at its time', () => {
    const run = simulate({ layout: 'triple-120', sampleRateHz: 777 }, 2);
    expect(run.timeS.length).toBe(Math.floor(2 * 777) + 1);
    for (const columns of [run.kpa, run.cleanKpa, run.portKpa, run.counts]) {
      expect(columns).toHaveLength(3);
      for (const column of columns) expect(column.length).toBe(run.timeS.length);
    }
    run.timeS.forEach((timeS, at) => {
      expect(timeS).toBeCloseTo(at / 777, 9);
    });
  });

  it('has a true mean that is the mean of finely sampled pressure', () => {
    const run = simulate({ sampleRateHz: 4_000, fullScaleCounts: null }, 4);
    for (const cycle of run.cycles) {
      let sum = 0;
      let count = 0;
      run.timeS.forEach((timeS, at) => {
        if (timeS < cycle.startS || timeS >= cycle.endS) return;
        sum += run.portKpa[cycle.cyl]![at]!;
        count++;
      });
      expect(Math.abs(sum / count - cycle.meanPortKpa)).toBeLessThan(0.15);
    }
  });

  it('gives clean, noisy and port pressures that differ by what they should', () => {
    const run = simulate({ taps: { noiseKpa: 0.3, offsetKpa: 1.5, lagS: 0.003 }, fullScaleCounts: null }, 10);
    const noise = Array.from(run.kpa[0]!, (kpa, at) => kpa - run.cleanKpa[0]![at]!);
    expect(noise.reduce((sum, value) => sum + value, 0) / noise.length).toBeCloseTo(1.5, 1);
    expect(standardDeviation(noise)).toBeCloseTo(0.3, 1.5);
    const behind = Array.from(run.cleanKpa[0]!, (kpa, at) => kpa - run.portKpa[0]![at]!);
    expect(standardDeviation(behind)).toBeGreaterThan(1);
  });

  it('takes hoses per channel: one off, one blocked, one sound', () => {
    const run = simulate(
      { layout: 'triple-120', taps: [{ off: true }, { blocked: true }, {}], fullScaleCounts: null },
      2,
    );
    const spread = (column: Float64Array) => Math.max(...column) - Math.min(...column);
    expect(run.kpa[0]!.every((kpa, at) => at === 0 || Math.abs(kpa - 101.325) < 1e-9)).toBe(true);
    expect(spread(run.kpa[1]!)).toBe(0);
    expect(spread(run.kpa[2]!)).toBeGreaterThan(30);
  });

  it('lets a script turn a screw at a known time', () => {
    const run = simulate(
      {
        controls: { combustionScatter: 0 },
        script: (bench, timeS) => {
          if (timeS >= 5) bench.controls.balanceTurns = [1];
        },
      },
      10,
    );
    const gap = (t0: number, t1: number) => run.truthMeanKpa(0, t0, t1) - run.truthMeanKpa(1, t0, t1);
    expect(gap(3, 5)).toBeGreaterThan(4);
    expect(gap(6, 9)).toBeLessThan(-2);
  });

  it.each([700, 1_500, 3_000, 6_000])('idles at %i r/min when asked to', (idleRpm) => {
    const run = simulate({ layout: 'four-inline', idleRpm, controls: { combustionScatter: 0.05 } }, 8);
    const speeds = run.cycles.filter((cycle) => cycle.startS > 4).map((cycle) => cycle.speedRpm);
    const mean = speeds.reduce((sum, speed) => sum + speed, 0) / speeds.length;
    expect(Math.abs(mean / idleRpm - 1)).toBeLessThan(0.04);
  });

  it.each([600, 1_100, 4_000])(
    'keeps a held speed of %i r/min, with the scatter of firings on it',
    (heldRpm) => {
      const run = simulate({ idleRpm: heldRpm, controls: { heldRpm } }, 15);
      const speeds = run.cycles.filter((cycle) => cycle.startS > 3).map((cycle) => cycle.speedRpm);
      const mean = speeds.reduce((sum, speed) => sum + speed, 0) / speeds.length;
      expect(Math.abs(mean / heldRpm - 1)).toBeLessThan(0.01);
      expect(standardDeviation(speeds)).toBeGreaterThan(1);
    },
  );

  it('refuses an idle speed outside 300 to 8000 r/min', () => {
    expect(() => idleTurnsForSpeed('twin-180', 100)).toThrow(RangeError);
  });
});
