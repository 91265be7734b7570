import jstat from 'jstat';
import { describe, expect, it } from 'vitest';
import { coverageWidening } from '../../calibration/coverage-widening.ts';
import { incompleteBeta, logGamma } from '../../calibration/incomplete-beta.ts';
import { normalQuantile } from '../../calibration/normal-quantile.ts';
import { studentTQuantile, studentTUpperTail } from '../../calibration/student-t.ts';
import { seededRandom } from '../engines/seeded-random.ts';

describe('the normal quantile', () => {
  it.each([
    [0.9, 1.281552],
    [0.95, 1.644854],
    [0.975, 1.959964],
    [0.99, 2.326348],
    [0.995, 2.575829],
    [0.999, 3.090232],
  ])('at %d is the %d of the NIST/SEMATECH handbook, 1.3.6.7.1', (probability, z) => {
    expect(normalQuantile(probability)).toBeCloseTo(z, 6);
    expect(normalQuantile(1 - probability)).toBeCloseTo(-z, 6);
  });

  it('inverts the normal distribution, whose tail is summed here as a series or a continued fraction', () => {
    for (const z of [-6, -3.5, -2, -1, -0.3, 0.2, 1, 2.5, 4]) {
      expect(normalQuantile(normalCdf(z))).toBeCloseTo(z, 9);
    }
    expect(normalQuantile(normalCdf(-9))).toBeCloseTo(-9, 9);
    expect(normalQuantile(normalCdf(-20))).toBeCloseTo(-20, 9);
    expect(normalQuantile(0.5)).toBe(0);
  });

  it('is undefined at 0 and 1', () => {
    expect(() => normalQuantile(0)).toThrow(RangeError);
    expect(() => normalQuantile(1)).toThrow(RangeError);
    expect(() => normalQuantile(Number.NaN)).toThrow(RangeError);
  });
});

describe('Student’s t', () => {
  it.each([
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, to its printed digits.
    [0.975, 1, 12.7062],
    [0.975, 2, 4.3027],
    [0.975, 3, 3.1824],
    [0.975, 4, 2.7764],
    [0.975, 5, 2.5706],
    [0.975, 6, 2.4469],
    [0.975, 7, 2.3646],
    [0.975, 8, 2.306],
    [0.975, 9, 2.2622],
    [0.975, 10, 2.2281],
    [0.975, 12, 2.1788],
    [0.975, 15, 2.1314],
    [0.975, 20, 2.086],
    [0.975, 25, 2.0595],
    [0.975, 30, 2.0423],
    [0.975, 40, 2.0211],
    [0.975, 60, 2.0003],
    [0.975, 120, 1.9799],
    [0.95, 1, 6.3138],
    [0.95, 2, 2.92],
    [0.95, 5, 2.015],
    [0.95, 10, 1.8125],
    [0.95, 20, 1.7247],
    [0.95, 30, 1.6973],
  ])('quantile %d for %d degrees of freedom is the %d of the printed table', (p, nu, t) => {
    expect(Math.abs(studentTQuantile(p, nu) - t)).toBeLessThan(0.5001e-4);
    expect(studentTQuantile(1 - p, nu)).toBeCloseTo(-studentTQuantile(p, nu), 10);
  });

  it('satisfies the finite series for whole degrees of freedom (Abramowitz and Stegun 26.7.3, 26.7.4)', () => {
    for (const nu of [1, 2, 3, 5, 8, 10, 17, 30, 99, 200]) {
      for (const p of [0.6, 0.9, 0.975, 0.999, 0.999999]) {
        const t = studentTQuantile(p, nu);
        expect(Math.abs(twoSided(t, nu) - (2 * p - 1)), `ν ${nu} p ${p}`).toBeLessThan(1e-12);
      }
    }
  });

  it('agrees with jstat, fractional degrees of freedom included, to the digits that it has (seed 11)', () => {
    const random = seededRandom(11, 8);
    for (let round = 0; round < 200; round++) {
      const nu = random.between(1.2, 80);
      const p = random.between(0.02, 0.98);
      const ours = studentTQuantile(p, nu);
      expect(Math.abs(ours - jstat.studentt.inv(p, nu)), `ν ${nu} p ${p}`).toBeLessThan(
        1e-6 * (1 + Math.abs(ours)),
      );
    }
  });

  it('comes back from its own tail for any degrees of freedom (seed 12)', () => {
    const random = seededRandom(12, 8);
    for (let round = 0; round < 300; round++) {
      const nu = Math.exp(random.between(Math.log(0.4), Math.log(9000)));
      const tail = Math.exp(random.between(Math.log(1e-8), Math.log(0.49)));
      const t = studentTQuantile(1 - tail, nu);
      expect(Math.abs(studentTUpperTail(t, nu) / (1 - (1 - tail)) - 1), `ν ${nu}`).toBeLessThan(1e-9);
    }
  });

  it('has no step where the expansion takes over, and ends in the normal distribution', () => {
    expect(studentTQuantile(0.975, 10_000) / studentTQuantile(0.975, 9_999.999)).toBeCloseTo(1, 10);
    expect(studentTQuantile(0.975, 1e12)).toBeCloseTo(normalQuantile(0.975), 10);
    expect(studentTQuantile(0.5, 3)).toBe(0);
  });

  it('refuses what is no probability and no degree of freedom', () => {
    expect(() => studentTQuantile(1, 5)).toThrow(RangeError);
    expect(() => studentTQuantile(0.9, 0)).toThrow(RangeError);
    expect(() => studentTQuantile(0.9, Number.NaN)).toThrow(RangeError);
  });
});

describe('the widening for few degrees of freedom', () => {
  it.each([
    // JCGM 100:2008, table G.2, column 95.45 %, halved; from memory.
    [1, 13.97],
    [2, 4.53],
    [5, 2.65],
    [10, 2.28],
    [20, 2.13],
    [50, 2.05],
  ])('for %d is half of the %d of the GUM’s table', (nu, t) => {
    expect(2 * coverageWidening(nu)).toBeCloseTo(t, 2);
  });
});

describe('the incomplete beta function', () => {
  it('agrees with jstat and with closed forms', () => {
    expect(incompleteBeta(0.5, 2, 3)).toBeCloseTo(0.6875, 14);
    expect(incompleteBeta(0.3, 1, 4)).toBeCloseTo(1 - 0.7 ** 4, 14);
    expect(incompleteBeta(0.3, 4, 1)).toBeCloseTo(0.3 ** 4, 14);
    const random = seededRandom(13, 8);
    for (let round = 0; round < 100; round++) {
      const [x, a, b] = [random.uniform(), random.between(0.2, 40), random.between(0.2, 40)];
      // jstat stops its fraction at 3e-7.
      expect(Math.abs(incompleteBeta(x, a, b) - jstat.ibeta(x, a, b))).toBeLessThan(3e-7);
      expect(incompleteBeta(x, a, b) + incompleteBeta(1 - x, b, a)).toBeCloseTo(1, 11);
    }
  });

  it('rests on the logarithm of factorials', () => {
    let factorial = 1;
    for (let n = 1; n <= 20; n++) {
      factorial *= n;
      expect(logGamma(n + 1)).toBeCloseTo(Math.log(factorial), 11);
    }
    expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.sqrt(Math.PI)), 12);
    expect(logGamma(0.2)).toBeCloseTo(jstat.gammaln(0.2), 9);
  });

  it('refuses arguments outside of its range', () => {
    expect(() => incompleteBeta(1.1, 1, 1)).toThrow(RangeError);
    expect(() => incompleteBeta(0.5, 0, 1)).toThrow(RangeError);
    expect(incompleteBeta(0, 2, 2)).toBe(0);
    expect(incompleteBeta(1, 2, 2)).toBe(1);
  });
});

/** P(|T| <= t) for whole ν by the finite trigonometric series. */
function twoSided(t: number, nu: number): number {
  const angle = Math.atan(t / Math.sqrt(nu));
  const c2 = Math.cos(angle) ** 2;
  const odd = nu % 2 === 1;
  let term = odd ? Math.cos(angle) : 1;
  let sum = nu === 1 ? 0 : term;
  for (let k = odd ? 3 : 2; k <= nu - 2; k += 2) {
    term *= ((k - 1) / k) * c2;
    sum += term;
  }
  return odd ? (2 / Math.PI) * (angle + Math.sin(angle) * sum) : Math.sin(angle) * sum;
}

/** Φ(z): Taylor series near 0, Laplace's continued fraction in the tails (Abramowitz and Stegun 26.2.10, 26.2.14). */
function normalCdf(z: number): number {
  const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
  if (Math.abs(z) < 3) {
    let term = z;
    let sum = z;
    for (let k = 1; k < 200; k++) {
      term *= (-z * z) / (2 * k);
      sum += term / (2 * k + 1);
    }
    return 0.5 + sum / Math.sqrt(2 * Math.PI);
  }
  let fraction = 0;
  for (let k = 300; k >= 1; k--) fraction = k / (Math.abs(z) + fraction);
  const tail = density / (Math.abs(z) + fraction);
  return z < 0 ? tail : 1 - tail;
}
