import { mean, sampleCorrelation, standardDeviation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { FiringQuality, wiebeFraction } from '../../../server/practice/combustion.ts';
import { Random } from '../../../server/practice/random.ts';

describe('wiebeFraction', () => {
  // 1 - exp(-5 x³), scaled so that all is burnt at the end: 0.99326 is what the bare function reaches there.
  it.each([
    [0.2, 0.0392106 / 0.9932621],
    [0.5, 0.4647386 / 0.9932621],
    [0.8, 0.9226957 / 0.9932621],
  ])('at %f of the burn has burnt %f', (burnt, share) => {
    expect(wiebeFraction(burnt)).toBeCloseTo(share, 5);
  });

  it('begins with nothing and ends with all', () => {
    expect([wiebeFraction(-0.1), wiebeFraction(0), wiebeFraction(1), wiebeFraction(3)]).toEqual([0, 0, 1, 1]);
  });
});

describe('FiringQuality', () => {
  const draw = (scatter: number, correlation: number, missed: number, seed = 5) => {
    const quality = new FiringQuality(new Random(seed));
    return Array.from({ length: 50_000 }, () => quality.next(scatter, correlation, missed));
  };

  it.each([
    [0.05, 0],
    [0.1, 0.4],
    [0.25, -0.3],
  ])(
    'has mean 1, the coefficient of variation %f and the correlation %f (seed 5)',
    (scatter, correlation) => {
      const values = draw(scatter, correlation, 0);
      expect(mean(values)).toBeCloseTo(1, 2);
      expect(standardDeviation(values) / scatter).toBeCloseTo(1, 1.3);
      expect(sampleCorrelation(values.slice(1), values.slice(0, -1))).toBeCloseTo(correlation, 1.5);
      expect(Math.min(...values)).toBeGreaterThan(0);
    },
  );

  it('misses as often as it is told (seed 5)', () => {
    const missed = draw(0.1, 0, 0.07).filter((value) => value === 0).length / 50_000;
    expect(Math.abs(missed - 0.07)).toBeLessThan(0.005);
  });

  it('goes on with the same firings where one is missed, so that a fault changes nothing else', () => {
    const sound = draw(0.1, 0.3, 0);
    const fouled = draw(0.1, 0.3, 0.2);
    for (const [at, value] of fouled.entries()) if (value !== 0) expect(value).toBe(sound[at]);
  });
});
