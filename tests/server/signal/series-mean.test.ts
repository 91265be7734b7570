import fc from 'fast-check';
import { mean, sampleStandardDeviation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { seriesMean } from '../../../server/signal/series-mean.ts';
import { seededRandom } from '../../engines/seeded-random.ts';
import { autoregressiveSeries } from './autoregressive-series.ts';

const SEED = 901;
const RUNS = 5000;
const TRUE_MEAN = 30;
const SD = 0.5;

/**
 * How often mean ± 2 standard errors holds the true mean of a first-order autoregressive series. What is asked for is
 * 93-97 % from 30 values on. Where `least` says less, that is what was measured, less three standard errors of the count:
 * for a negative correlation the sum of autocorrelations ends after its first term and makes the interval about a
 * sixth too short; 30 values with a correlation of 0.6 do not suffice to learn it.
 */
const COVERAGE: readonly { rho: number; n: number; least: number; most: number }[] = [
  { rho: -0.4, n: 12, least: 0.93, most: 0.97 },
  { rho: -0.4, n: 30, least: 0.93, most: 0.97 },
  { rho: -0.4, n: 100, least: 0.905, most: 0.97 },
  { rho: -0.4, n: 400, least: 0.898, most: 0.97 },
  { rho: 0, n: 12, least: 0.92, most: 0.97 },
  { rho: 0, n: 30, least: 0.93, most: 0.97 },
  { rho: 0, n: 100, least: 0.93, most: 0.97 },
  { rho: 0, n: 400, least: 0.93, most: 0.97 },
  { rho: 0.3, n: 12, least: 0.9, most: 0.97 },
  { rho: 0.3, n: 30, least: 0.93, most: 0.97 },
  { rho: 0.3, n: 100, least: 0.93, most: 0.97 },
  { rho: 0.3, n: 400, least: 0.93, most: 0.97 },
  { rho: 0.6, n: 12, least: 0.88, most: 0.97 },
  { rho: 0.6, n: 30, least: 0.918, most: 0.97 },
  { rho: 0.6, n: 100, least: 0.93, most: 0.97 },
  { rho: 0.6, n: 400, least: 0.93, most: 0.97 },
];

describe(`twice the standard error, seed ${SEED}`, () => {
  it.each(COVERAGE)(
    'holds the true mean of $n values with autocorrelation $rho',
    ({ rho, n, least, most }) => {
      const random = seededRandom(SEED, Math.round(n * 10 + rho * 10));
      const runs = n > 200 ? RUNS / 3 : RUNS;
      let holding = 0;
      for (let run = 0; run < runs; run++) {
        const found = seriesMean(autoregressiveSeries(random, n, rho).map((value) => TRUE_MEAN + SD * value));
        if (Math.abs(found.mean - TRUE_MEAN) <= 2 * found.standardError!) holding++;
      }
      const share = holding / runs;
      expect(share).toBeGreaterThan(least);
      expect(share).toBeLessThan(most);
    },
  );

  it.each([
    [3, 0],
    [5, 0],
    [12, 0],
    [5, 0.6],
    [12, 0.6],
  ])('of a short series borrows what longer ones taught: %i values, autocorrelation %d', (n, rho) => {
    const random = seededRandom(SEED, 7000 + 10 * n + 10 * rho);
    const taught = { sd: SD, tau: (1 + rho) / (1 - rho), count: 250 };
    let holding = 0;
    for (let run = 0; run < RUNS; run++) {
      const found = seriesMean(
        autoregressiveSeries(random, n, rho).map((value) => SD * value),
        taught,
      );
      if (Math.abs(found.mean) <= 2 * found.standardError!) holding++;
    }
    expect(holding / RUNS).toBeGreaterThan(0.94);
  });

  it('of independent values comes near s/√n', () => {
    const random = seededRandom(SEED, 8000);
    const ratios = Array.from({ length: 400 }, () => {
      const found = seriesMean(autoregressiveSeries(random, 200, 0));
      return found.standardError! / (found.sd! / Math.sqrt(200));
    });
    expect(mean(ratios)).toBeGreaterThan(0.95);
    expect(mean(ratios)).toBeLessThan(1.1);
  });

  it('of correlated values comes near s/√n times the root of (1+ρ)/(1-ρ)', () => {
    // Variance of the mean of a long first-order autoregressive series; any text on time series, e.g. Priestley 1981, 5.3.
    const random = seededRandom(SEED, 8001);
    const ratios = Array.from({ length: 200 }, () => {
      const found = seriesMean(autoregressiveSeries(random, 600, 0.5));
      return found.standardError! / (found.sd! * Math.sqrt(3 / 600));
    });
    expect(mean(ratios)).toBeGreaterThan(0.93);
    expect(mean(ratios)).toBeLessThan(1.1);
  });
});

describe('mean and standard deviation', () => {
  it(`are those of the reference library (seed ${SEED})`, () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -200, max: 200, noNaN: true }), { minLength: 2, maxLength: 300 }),
        (values) => {
          const found = seriesMean(values);
          expect(found.count).toBe(values.length);
          expect(found.mean).toBeCloseTo(mean(values), 9);
          expect(found.sd!).toBeCloseTo(sampleStandardDeviation(values), 9);
        },
      ),
      { seed: SEED },
    );
  });

  it('keep their digits on a high level', () => {
    // NIST StRD NumAcc4, as its description defines it; the certified values are 10000000.2 and 0.1.
    const values = [10000000.2, ...Array.from({ length: 1000 }, (_, i) => (i % 2 ? 10000000.3 : 10000000.1))];
    const found = seriesMean(values);
    expect(Math.abs(found.mean - 10000000.2)).toBeLessThan(2e-7);
    expect(Math.abs(found.sd! - 0.1)).toBeLessThan(1e-8);
  });

  it('do not depend on the unit or the origin, nor does the standard error but for the unit', () => {
    const values = autoregressiveSeries(seededRandom(SEED, 9), 150, 0.3);
    const plain = seriesMean(values);
    const changed = seriesMean(values.map((value) => 7.5 * value - 40));
    expect(changed.mean).toBeCloseTo(7.5 * plain.mean - 40, 9);
    expect(changed.sd).toBeCloseTo(7.5 * plain.sd!, 9);
    expect(changed.standardError).toBeCloseTo(7.5 * plain.standardError!, 9);
    expect(changed.tau).toBeCloseTo(plain.tau, 9);
  });
});

describe('what cannot be told is null', () => {
  it.each<[readonly number[], number | null, number | null]>([
    [[], null, null],
    [[31], null, null],
    [[31, 32], Math.SQRT1_2, null],
    [[31, 31, 31, 31], 0, 0],
  ])('%j', (values, sd, standardError) => {
    const found = seriesMean(values);
    expect(found.count).toBe(values.length);
    expect(found.mean).toBe(values.length === 0 ? Number.NaN : mean([...values]));
    if (sd === null) expect(found.sd).toBeNull();
    else expect(found.sd).toBeCloseTo(sd, 12);
    expect(found.standardError).toBe(standardError);
  });
});
