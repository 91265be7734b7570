import { linearRegression } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import type { LeakTester } from '../truth/leak-judges.ts';
import { naiveAnalyser } from '../truth/naive-analyser.ts';
import { holdRows, spotRows } from './accuracy-leaks.ts';

/** Compares plain means before and while wetted, and lays a straight line through a leak that is choked all the way. */
const plain: LeakTester = {
  spotVerdicts(timeS, kpa, options, spots) {
    const analysis = naiveAnalyser.analyse(timeS, kpa, options);
    const mean = (values: number[]): number => values.reduce((a, b) => a + b, 0) / values.length;
    return spots.map(({ startS, endS }) => {
      const moved = analysis.cylinders.map(({ cycleTable }) => {
        const inside = cycleTable.filter((row) => row.startS > startS + 0.7 && row.endS < endS);
        const before = cycleTable.filter((row) => row.startS > startS - 3 && row.endS < startS);
        return Math.abs(mean(inside.map((r) => r.meanVacuumKpa)) - mean(before.map((r) => r.meanVacuumKpa)));
      });
      return Math.max(...moved) > 0.3 ? 'leak' : 'no-leak';
    });
  },
  holdKpaPerS(timeS, kpa) {
    const rise = kpa.at(-1)! - kpa[0]!;
    if (rise < 2) return null;
    return linearRegression(Array.from(timeS, (t, i) => [t, kpa[i]!])).m;
  },
};

describe('the leak judges', () => {
  it('tell a plain tester from one that always or never says leak', () => {
    const saying = (verdict: 'leak' | 'no-leak' | 'not-sure'): LeakTester => ({
      ...plain,
      spotVerdicts: (_t, _k, _o, spots) => spots.map(() => verdict),
    });
    const [alarms, found] = spotRows(plain, 5, 5) as [
      ReturnType<typeof spotRows>[0],
      ReturnType<typeof spotRows>[0],
    ];
    expect(alarms.pooled).toBeLessThan(25);
    expect(found.pooled).toBeGreaterThan(35);
    expect(spotRows(saying('leak'), 1, 5).map((r) => [r.pooled, r.holds])).toEqual([
      [100, false],
      [100, true],
    ]);
    for (const verdict of ['no-leak', 'not-sure'] as const) {
      expect(spotRows(saying(verdict), 1, 5).map((r) => [r.pooled, r.holds])).toEqual([
        [0, true],
        [0, false],
      ]);
    }
  });

  it('see that a straight line is wrong for a leak that is not choked, and that a figure was made up', () => {
    const [error, short] = holdRows(plain, 40, 6);
    expect(error!.pooled).toBeGreaterThan(3);
    expect(error!.holds).toBe(false);
    expect(short!.holds).toBe(true);
    const eager = holdRows({ ...plain, holdKpaPerS: () => 1 }, 10, 6);
    expect(eager[1]!.pooled).toBe(100);
    expect(eager[1]!.holds).toBe(false);
    const silent = holdRows({ ...plain, holdKpaPerS: () => null }, 10, 6);
    expect(silent[0]!.holds).toBe(false);
  });

  it('refuse a list of verdicts that does not fit the spots', () => {
    expect(() => spotRows({ ...plain, spotVerdicts: () => [] }, 1, 1)).toThrow('8 spots');
  });
});
