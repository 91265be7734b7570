import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { balanceVerdict, cyclesNeeded } from '../../../server/signal/balance-verdict.ts';
import type { Verdict } from '../../../server/signal/reading.ts';
import { referenceOf } from '../../../server/signal/reference-vacuum.ts';

const SEED = 131;

describe('a gap against the tolerance', () => {
  it.each<[number | null, number | null, number, Verdict]>([
    // gap, ± , tolerance
    [0, 0, 1, 'inside'],
    [0.6, 0.3, 1, 'inside'],
    [-0.6, 0.3, 1, 'inside'],
    [0.75, 0.25, 1, 'inside'],
    [0.75, 0.26, 1, 'not-sure'],
    [1, 0, 1, 'inside'],
    [1, 0.01, 1, 'not-sure'],
    [1.25, 0.25, 1, 'not-sure'],
    [1.26, 0.25, 1, 'outside'],
    [-1.26, 0.25, 1, 'outside'],
    [-8, 2, 1, 'outside'],
    [0, 1, 1, 'inside'],
    [0, 1.01, 1, 'not-sure'],
    [0.3, 9, 1, 'not-sure'],
    [null, 0.1, 1, 'not-sure'],
    [0.2, null, 1, 'not-sure'],
    [null, null, 1, 'not-sure'],
  ])('%d ± %d kPa within ±%d kPa: %s', (gapKpa, expandedKpa, toleranceKpa, verdict) => {
    expect(balanceVerdict(gapKpa, expandedKpa, toleranceKpa)).toBe(verdict);
  });

  it(`inside exactly if the whole interval is, outside exactly if none of it is (seed ${SEED})`, () => {
    // In 1/1024 kPa, so that sums are exact.
    const kpa = fc.integer({ min: 0, max: 4096 }).map((steps) => steps / 1024);
    fc.assert(
      fc.property(kpa, fc.boolean(), kpa, kpa, (distance, below, expanded, tolerance) => {
        const gap = below ? -distance : distance;
        const [low, high] = [gap - expanded, gap + expanded];
        const whole = low >= -tolerance && high <= tolerance;
        const none = low > tolerance || high < -tolerance;
        expect(balanceVerdict(gap, expanded, tolerance)).toBe(
          whole ? 'inside' : none ? 'outside' : 'not-sure',
        );
      }),
      { seed: SEED, numRuns: 500 },
    );
  });
});

describe('cycles still needed', () => {
  it.each<[string, Parameters<typeof cyclesNeeded>, number | null]>([
    ['the interval must halve: four times the cycles', [0.5, 1, 20, 1, 0], 60],
    ['the same from outside', [-1.5, 1, 20, 1, 0], 60],
    ['a third: nine times', [0.75, 1, 10, 0.75, 0], 80],
    ['decided already', [0.1, 1, 20, 0.5, 0], 0],
    ['on the very edge nothing ever decides', [1, 1, 20, 0.5, 0], null],
    ['calibration alone is as wide as the room', [0.5, 1, 20, 1, 0.5], null],
    ['calibration takes a part of the room', [0.5, 1, 20, 1, 0.3], 105],
    ['more than anybody waits for', [0.99, 1, 20, 1, 0], null],
  ])('%s', (_, given, needed) => {
    expect(cyclesNeeded(...given)).toBe(needed);
  });

  it(`are as many as bring the interval to the edge of the band, and one fewer would not do (seed ${SEED})`, () => {
    const kpa = (max: number) => fc.double({ min: 0.02, max, noNaN: true });
    fc.assert(
      fc.property(
        kpa(3),
        kpa(2),
        fc.integer({ min: 3, max: 200 }),
        kpa(1),
        kpa(0.3),
        (gap, tolerance, n, random, fixed) => {
          const needed = cyclesNeeded(gap, tolerance, n, random, fixed);
          fc.pre(needed !== null);
          const expandedAt = (cycles: number): number => Math.hypot(random * Math.sqrt(n / cycles), fixed);
          const room = Math.abs(gap - tolerance);
          expect(expandedAt(n + needed!)).toBeLessThanOrEqual(room * (1 + 1e-9));
          if (needed! > 0) expect(expandedAt(n + needed! - 1)).toBeGreaterThan(room * (1 - 1e-9));
        },
      ),
      { seed: SEED, numRuns: 500 },
    );
  });
});

describe('what the others are compared with', () => {
  it.each<[string, readonly (number | null)[], number | 'mean', number | null]>([
    ['a chosen cylinder', [30, 31, 33], 1, 31],
    ['the mean of all', [30, 31, 33], 'mean', 94 / 3],
    ['the mean of those that have a value', [30, null, 33], 'mean', 31.5],
    ['nothing while the chosen one has no value', [30, null, 33], 1, null],
    ['nothing when it alone has one', [30, null, null], 0, null],
    ['nothing when only one has a value', [30, null, null], 'mean', null],
    ['nothing when none has', [null, null], 'mean', null],
  ])('%s', (_, vacuums, reference, expected) => {
    expect(referenceOf(vacuums, reference)).toEqual(expected);
  });
});
