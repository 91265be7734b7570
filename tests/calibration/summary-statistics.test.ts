import * as simple from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { compensatedSum, meanOf, summarise } from '../../calibration/summary-statistics.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { readNist } from './nist-file.ts';

/**
 * Certified mean, standard deviation and lag-1 autocorrelation of the NIST StRD univariate sets, from the headers of
 * the files, and the relative error that double precision can be asked for: the values of the last two sets are not
 * representable, so even exact arithmetic on what is stored departs from the certified figure.
 */
const CERTIFIED = [
  ['PiDigits.txt', 5000, 4.5348, 2.86733906028871, -0.00355099287237972, 1e-13],
  ['Lottery.dat', 218, 518.95871559633, 291.699727470969, -0.120948622967393, 1e-13],
  ['Lew.dat', 200, -177.435, 277.332168044316, -0.307304800605679, 1e-13],
  ['Mavro.dat', 50, 2.001856, 0.000429123454003053, 0.937989183438248, 1e-12],
  ['Michelso.dat', 100, 299.8524, 0.0790105478190518, 0.535199668621283, 1e-12],
  ['NumAcc1.dat', 3, 10000002, 1, -0.5, 1e-15],
  ['NumAcc2.dat', 1001, 1.2, 0.1, -0.999, 1e-13],
  ['NumAcc3.dat', 1001, 1000000.2, 0.1, -0.999, 1e-9],
  ['NumAcc4.dat', 1001, 10000000.2, 0.1, -0.999, 1e-8],
] as const;

describe('mean, standard deviation and lag-1 autocorrelation', () => {
  it.each(CERTIFIED)(
    'agree with the certified values of NIST %s',
    (file, count, mean, sd, lag1, tolerance) => {
      const values = readNist(file).rows.map(([y]) => y!);
      const found = summarise(values);
      expect(found.count).toBe(count);
      expect(Math.abs(found.mean / mean - 1)).toBeLessThan(1e-14);
      expect(Math.abs(found.sd! / sd - 1)).toBeLessThan(tolerance);
      // The autocorrelations of the small ones carry the error of the mean into a product near 0.
      expect(Math.abs(found.lag1! - lag1)).toBeLessThan(Math.max(1e-14, tolerance));
      expect(meanOf(values)).toBe(found.mean);
    },
  );

  it('keep digits that a one-pass sum of squares loses (NumAcc4)', () => {
    const values = readNist('NumAcc4.dat').rows.map(([y]) => y!);
    const n = values.length;
    const sum = values.reduce((a, b) => a + b, 0);
    const squares = values.reduce((a, b) => a + b * b, 0);
    const onePass = Math.sqrt(Math.abs(squares - (sum * sum) / n) / (n - 1));
    expect(Math.abs(onePass - 0.1)).toBeGreaterThan(1e-3);
    expect(Math.abs(summarise(values).sd! - 0.1)).toBeLessThan(1e-9);
  });

  it('agree with simple-statistics on random series (seeds 1 to 20)', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const random = seededRandom(seed, 3);
      const values = Array.from({ length: 3 + random.index(400) }, () => 40 + 3 * random.normal());
      const found = summarise(values);
      expect(found.mean, `seed ${seed}`).toBeCloseTo(simple.mean(values), 11);
      expect(found.sd!, `seed ${seed}`).toBeCloseTo(simple.sampleStandardDeviation(values), 11);
      // Each value with the one after it, about their joint mean.
      const pairs = values.slice(1).map((value, at) => (value - found.mean) * (values[at]! - found.mean));
      const squares = values.map((value) => (value - found.mean) ** 2);
      expect(found.lag1!, `seed ${seed}`).toBeCloseTo(simple.sum(pairs) / simple.sum(squares), 11);
    }
  });

  it('have no standard deviation of one value and no autocorrelation of equal ones', () => {
    expect(summarise([7])).toEqual({ count: 1, mean: 7, sd: null, lag1: null });
    expect(summarise([7, 7, 7])).toEqual({ count: 3, mean: 7, sd: 0, lag1: null });
    expect(() => summarise([])).toThrow(RangeError);
  });

  it('sum a large value that comes and goes without losing the small ones', () => {
    expect(compensatedSum([1, 1e17, 1, -1e17])).toBe(2);
    // A plain sum of a million tenths is off by 1e-6.
    const tenths = new Float64Array(1_000_000).fill(0.1);
    expect(meanOf(tenths)).toBe(0.1);
  });
});
