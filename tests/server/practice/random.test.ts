import { mean, standardDeviation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { Random } from '../../../server/practice/random.ts';

const DRAWS = 200_000;

describe('Random', () => {
  it('gives the same numbers for the same seed and others for the next seed', () => {
    const draw = (seed: number) => {
      const random = new Random(seed);
      return Array.from({ length: 50 }, () => random.uniform());
    };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
  });

  it('gives a fork the same stream however much was drawn before', () => {
    const early = new Random(3).fork(4);
    const parent = new Random(3);
    for (let draw = 0; draw < 100; draw++) parent.normal();
    const late = parent.fork(4);
    expect([late.uniform(), late.uniform()]).toEqual([early.uniform(), early.uniform()]);
    expect(new Random(3).fork(5).uniform()).not.toBe(new Random(3).fork(4).uniform());
  });

  // Chi-square with 19 degrees of freedom: 0.01 % of fair generators exceed 52.4 (tables of the distribution,
  // from memory); the seed is fixed.
  it.each([1, 2, 99])('spreads uniform numbers evenly (seed %i)', (seed) => {
    const random = new Random(seed);
    const bins = new Array<number>(20).fill(0);
    for (let draw = 0; draw < DRAWS; draw++) bins[Math.floor(random.uniform() * 20)]!++;
    const expected = DRAWS / 20;
    expect(bins.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0)).toBeLessThan(52.4);
  });

  it.each([1, 2, 99])('draws standard normal deviates (seed %i)', (seed) => {
    const random = new Random(seed);
    const values = Array.from({ length: DRAWS }, () => random.normal());
    expect(Math.abs(mean(values))).toBeLessThan(4 / Math.sqrt(DRAWS));
    expect(standardDeviation(values)).toBeCloseTo(1, 2);
    // Share beyond 1.959964 standard deviations: 5 % (NIST handbook 1.3.6.7.1).
    const beyond = values.filter((value) => Math.abs(value) > 1.959964).length / DRAWS;
    expect(beyond).toBeGreaterThan(0.048);
    expect(beyond).toBeLessThan(0.052);
    const lag1 = mean(values.slice(1).map((value, at) => value * values[at]!));
    expect(Math.abs(lag1)).toBeLessThan(4 / Math.sqrt(DRAWS));
  });

  it('refuses a seed that is no whole number', () => {
    expect(() => new Random(1.5)).toThrow(RangeError);
  });
});
