import { describe, expect, it } from 'vitest';
import type { RefillResult } from '../../../../server/signal/leak/refill-slope.ts';
import { twoOpeningTest } from '../../../../server/signal/leak/two-opening-test.ts';
import { type TwoOpeningRun, twoOpeningsInPractice, twoOpeningsOfRefillEngine } from './two-opening-runs.ts';

function slope(kpaPerS: number, standardError = 0.5): RefillResult {
  return {
    slope: { kpaPerS, standardError, cycles: 60, chokedShare: 0.4, window: { from: 0.3, to: 0.8 } },
    refusal: null,
  };
}

/** Slopes of ports with these volumes, scaling openings and leaks, at idle and three times the throttle. */
function twoOpenings(
  cylinders: readonly { volume?: number; scaling?: number; leak?: number }[],
  grown = 3,
): [RefillResult[], RefillResult[]] {
  const at = (times: number) =>
    cylinders.map(({ volume = 1, scaling = 1, leak = 0 }) =>
      slope((400 * (scaling * times + leak)) / volume),
    );
  return [at(1), at(grown)];
}

function tally(runs: Iterable<TwoOpeningRun>): { cylinders: number; right: number; wrong: number } {
  const count = { cylinders: 0, right: 0, wrong: 0 };
  for (const { truth, results } of runs) {
    results.forEach(({ verdict, cause }, cylinder) => {
      count.cylinders++;
      if (verdict === 'cannot-tell') return;
      if ((cause ?? 'even') === truth[cylinder]) count.right++;
      else count.wrong++;
    });
  }
  return count;
}

describe('a test at two openings', () => {
  it('calls extra air that stays the same a leak, and gives its share of the opening', () => {
    const results = twoOpeningTest(...twoOpenings([{}, { leak: 0.15 }, {}, {}]));
    expect(results.map(({ cause }) => cause)).toEqual([null, 'leak', null, null]);
    // 0.15 of 1.15.
    expect(results[1]!.constantShare!.value).toBeCloseTo(0.1304, 4);
    expect(results[1]!.growth!.value).toBeCloseTo(3.15 / 1.15, 6);
  });

  it('calls an opening that grows along but is larger or smaller a linkage', () => {
    const results = twoOpeningTest(...twoOpenings([{}, { scaling: 1.2 }, {}, { scaling: 0.8 }, {}]));
    expect(results.map(({ cause }) => cause)).toEqual([null, 'linkage', null, 'linkage', null]);
    expect(results[1]!.scalingExcess!.value).toBeCloseTo(0.2, 6);
  });

  it('takes ports that differ in volume as usual for even', () => {
    for (const { verdict } of twoOpeningTest(...twoOpenings([{}, { volume: 1.03 }, { volume: 0.97 }])))
      expect(verdict).toBe('not-found');
  });

  it('tells a leak of half of the cylinders, and of one of a pair', () => {
    const half = twoOpeningTest(...twoOpenings([{ leak: 0.2 }, {}, { leak: 0.1 }, {}]));
    expect(half.map(({ cause }) => cause)).toEqual(['leak', null, 'leak', null]);
    const pair = twoOpeningTest(...twoOpenings([{ leak: 0.2 }, {}]));
    expect(pair.map(({ cause }) => cause)).toEqual(['leak', null]);
    const turned = twoOpeningTest(...twoOpenings([{ scaling: 1.2 }, {}]));
    expect(turned.map(({ cause }) => cause)).toEqual(['linkage', 'linkage']);
  });

  it('cannot tell without two cylinders, without slopes, or when the throttle was hardly opened', () => {
    const none: RefillResult = { slope: null, refusal: 'no-refill' };
    const [idle, raised] = twoOpenings([{}, { leak: 0.2 }, {}], 1.2);
    expect(twoOpeningTest(idle, raised).map(({ reason }) => reason)).toEqual(
      idle.map(() => 'opening-not-raised-enough'),
    );
    expect(twoOpeningTest([slope(400)], [slope(1200)])[0]!.reason).toBe('too-few-cylinders');
    expect(twoOpeningTest([none, none], [none, none])[1]!.reason).toBe('no-slope');
    const [low, high] = twoOpenings([{}, {}, {}]);
    const partly = twoOpeningTest([low[0]!, none, low[2]!], high);
    expect(partly.map(({ verdict }) => verdict)).toEqual(['not-found', 'cannot-tell', 'not-found']);
    expect(() => twoOpeningTest(low, [])).toThrow('3 cylinders at idle and 0');
  });

  it('is right about 90 % and wrong about under 3 % of the cylinders of refilling ports (seeds 1-40)', () => {
    const count = tally(Array.from({ length: 40 }, (_, at) => twoOpeningsOfRefillEngine(at + 1)));
    expect(count.cylinders).toBeGreaterThan(120);
    expect(count.right / count.cylinders).toBeGreaterThanOrEqual(0.9);
    expect(count.wrong / count.cylinders).toBeLessThan(0.03);
  });

  it('is right about the cylinders of a practice engine (seeds 101-112)', () => {
    const count = tally(Array.from({ length: 12 }, (_, at) => twoOpeningsInPractice(at + 101)));
    expect(count.cylinders).toBe(36);
    expect(count.right / count.cylinders).toBeGreaterThanOrEqual(0.9);
    expect(count.wrong).toBeLessThanOrEqual(1);
  });
});
