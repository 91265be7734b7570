import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { spotTestPlan } from '../../../../server/signal/leak/spot-plan.ts';

const SPOTS = ['boot 1', 'boot 2', 'tap', 'plug'];

describe('the plan of a spot test', () => {
  it('holds every spot and a dummy once a round, never one twice running, in an order of its own', () => {
    fc.assert(
      fc.property(
        fc.integer(),
        fc.integer({ min: 1, max: 6 }),
        fc.integer({ min: 1, max: 4 }),
        (seed, repeats, n) => {
          const spots = SPOTS.slice(0, n);
          const { presses, durationS } = spotTestPlan(spots, repeats, seed);
          expect(presses).toHaveLength(repeats * (n + 1));
          for (let round = 0; round < repeats; round++) {
            const mine = presses.slice(round * (n + 1), (round + 1) * (n + 1)).map(({ spot }) => spot);
            expect(new Set(mine)).toEqual(new Set([...spots, null]));
          }
          presses.forEach(({ spot, startS, endS }, at) => {
            const next = presses[at + 1];
            expect(endS - startS).toBeCloseTo(6, 9);
            expect(spot).not.toBe(next?.spot ?? undefined);
            const restS = (next?.startS ?? durationS) - endS;
            expect(restS).toBeGreaterThanOrEqual(6);
            expect(restS).toBeLessThan(8.01);
          });
        },
      ),
      { seed: 20, numRuns: 100 },
    );
  });

  it('is the same for the same seed, and nearly always another for another', () => {
    const order = (seed: number): string => JSON.stringify(spotTestPlan(SPOTS, 3, seed).presses);
    expect(order(7)).toBe(order(7));
    expect(new Set(Array.from({ length: 100 }, (_, seed) => order(seed))).size).toBe(100);
  });

  it('puts each spot in each place of the first round about equally often', () => {
    const counts = SPOTS.map(() => 0);
    for (let seed = 0; seed < 2000; seed++) {
      const first = spotTestPlan(SPOTS, 1, seed).presses[0]!.spot;
      if (first !== null) counts[SPOTS.indexOf(first)]!++;
    }
    // A fifth each: 400 ± 5 standard deviations of 18.
    for (const count of counts) expect(Math.abs(count - 400)).toBeLessThan(90);
  });

  it('refuses what makes no test', () => {
    expect(() => spotTestPlan([], 3, 1)).toThrow('spots with names');
    expect(() => spotTestPlan(['a', 'a'], 3, 1)).toThrow('differ');
    expect(() => spotTestPlan(['a'], 0, 1)).toThrow('once or more');
    expect(() => spotTestPlan(['a'], 3, 0.5)).toThrow('whole number');
  });
});
