import { describe, expect, it } from 'vitest';
import { quantisationVariance, steadyMean } from '../../calibration/steady-mean.ts';
import { seededRandom } from '../engines/seeded-random.ts';

describe('the mean of a steady pressure', () => {
  it('is as uncertain as independent noise says (seeds 1 to 2000)', () => {
    let covered = 0;
    for (let seed = 1; seed <= 2000; seed++) {
      const random = seededRandom(seed, 11);
      const samples = Array.from({ length: 60 }, () => 40 + 0.3 * random.normal());
      const { meanKpa, standardUncertaintyKpa } = steadyMean(samples, 0)!;
      if (Math.abs(meanKpa - 40) <= 2 * standardUncertaintyKpa) covered++;
    }
    expect(covered / 2000).toBeGreaterThan(0.93);
    expect(covered / 2000).toBeLessThan(0.98);
  });

  it('is more uncertain where one sample follows the one before (seeds 1 to 2000)', () => {
    let covered = 0;
    for (let seed = 1; seed <= 2000; seed++) {
      const random = seededRandom(seed, 12);
      let state = 0;
      const samples = Array.from({ length: 400 }, () => {
        state = 0.8 * state + 0.1 * random.normal();
        return 40 + state;
      });
      const { meanKpa, standardUncertaintyKpa } = steadyMean(samples, 0)!;
      if (Math.abs(meanKpa - 40) <= 2 * standardUncertaintyKpa) covered++;
    }
    expect(covered / 2000).toBeGreaterThan(0.92);
    expect(covered / 2000).toBeLessThan(0.98);
  });

  it('leaves holes out and is none of fewer than two samples', () => {
    expect(steadyMean([Number.NaN, 5, 7], 0)).toMatchObject({ count: 2, meanKpa: 6 });
    expect(steadyMean([5], 0.1)).toBeNull();
    expect(steadyMean([Number.NaN, Number.NaN], 0.1)).toBeNull();
  });
});

describe('the error that rounding to counts leaves in a long mean', () => {
  it('is the q/√12 of the textbooks without noise', () => {
    expect(quantisationVariance(0, 0.1)).toBeCloseTo(0.01 / 12, 4);
    expect(Math.abs(quantisationVariance(0, 1) * 12 - 1)).toBeLessThan(0.04);
    expect(quantisationVariance(0.3, 0)).toBe(0);
  });

  it.each([0.15, 0.25, 0.4])(
    'is dithered away by noise of %d counts as a simulation says (seed 14)',
    (noise) => {
      // Mean of rounded noise by integration over the normal distribution, for many places between two counts.
      const places = 50;
      let squares = 0;
      for (let place = 0; place < places; place++) {
        const level = (place + 0.5) / places;
        let mean = 0;
        let total = 0;
        for (let z = -6; z <= 6; z += 0.001) {
          const density = Math.exp(-0.5 * z * z);
          total += density;
          mean += density * Math.round(level + noise * z);
        }
        squares += (mean / total - level) ** 2;
      }
      const sdOfSamples = Math.sqrt(noise ** 2 + 1 / 12);
      const ratio = quantisationVariance(sdOfSamples, 1) / (squares / places);
      expect(Math.abs(ratio - 1)).toBeLessThan(0.05);
    },
  );
});
