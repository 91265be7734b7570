import * as simple from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { fitLine, fitThroughOrigin } from '../../calibration/linear-regression.ts';
import { inverse } from '../../calibration/solve-linear.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { readNist } from './nist-file.ts';

/** Columns of a NIST regression file, which has y before x. */
function columns(file: string): { x: number[]; y: number[] } {
  const { rows } = readNist(file);
  return { x: rows.map(([, x]) => x!), y: rows.map(([y]) => y!) };
}

function expectRelative(found: number, certified: number, tolerance: number): void {
  expect(Math.abs(found / certified - 1)).toBeLessThan(tolerance);
}

describe('a straight line by least squares', () => {
  it('agrees with the certified values of NIST Norris, the calibration of ozone monitors', () => {
    const { x, y } = columns('Norris.dat');
    const fit = fitLine(x, y);
    expect(x).toHaveLength(36);
    expectRelative(fit.intercept, -0.262323073774029, 1e-11);
    expectRelative(fit.slope, 1.00211681802045, 1e-13);
    expectRelative(Math.sqrt(fit.covariance.intercept), 0.232818234301152, 1e-11);
    expectRelative(Math.sqrt(fit.covariance.slope), 0.429796848199937e-3, 1e-11);
    expectRelative(fit.residualSd!, 0.884796396144373, 1e-11);
    expectRelative(fit.rSquared, 0.999993745883712, 1e-13);
    expect(fit.degreesOfFreedom).toBe(34);
  });

  it.each([
    ['NoInt1.dat', 2.07438016528926, 0.165289256198347e-1, 3.56753034006338, 0.999365492298663, 10],
    ['NoInt2.dat', 0.727272727272727, 0.420827318078432e-1, 0.369274472937998, 0.993348115299335, 2],
  ])('through the origin agrees with the certified values of NIST %s', (file, slope, error, sd, r2, dof) => {
    const { x, y } = columns(file);
    const fit = fitThroughOrigin(x, y);
    expectRelative(fit.slope, slope, 1e-13);
    expectRelative(Math.sqrt(fit.covariance.slope), error, 1e-12);
    expectRelative(fit.residualSd!, sd, 1e-12);
    expectRelative(fit.rSquared, r2, 1e-13);
    expect(fit.degreesOfFreedom).toBe(dof);
    expect(fit.intercept).toBe(0);
  });

  it('agrees with simple-statistics on random points (seeds 1 to 20)', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const random = seededRandom(seed, 4);
      const x = Array.from({ length: 3 + random.index(60) }, () => random.between(20, 110));
      const y = x.map((value) => 1.5 + 0.98 * value + random.normal());
      const reference = simple.linearRegression(x.map((value, at) => [value, y[at]!]));
      const fit = fitLine(x, y);
      expect(fit.slope, `seed ${seed}`).toBeCloseTo(reference.m, 10);
      expect(fit.intercept, `seed ${seed}`).toBeCloseTo(reference.b, 9);
      expect(fit.rSquared, `seed ${seed}`).toBeCloseTo(simple.sampleCorrelation(x, y) ** 2, 10);
    }
  });

  it('of whole weights is the line through points that stand there so many times', () => {
    const x = [1, 2, 3, 5];
    const y = [2.1, 3.9, 6.2, 9.7];
    const weights = [1, 3, 2, 4];
    const repeat = (values: number[]): number[] =>
      values.flatMap((value, at) => new Array<number>(weights[at]!).fill(value));
    const weighted = fitLine(x, y, { weights, scale: 'known' });
    const repeated = fitLine(repeat(x), repeat(y), { scale: 'known' });
    expect(weighted.slope).toBeCloseTo(repeated.slope, 13);
    expect(weighted.intercept).toBeCloseTo(repeated.intercept, 13);
    expect(weighted.covariance.slope).toBeCloseTo(repeated.covariance.slope, 13);
    expect(weighted.covariance.interceptSlope).toBeCloseTo(repeated.covariance.interceptSlope, 13);
    const through = fitThroughOrigin(x, y, { weights, scale: 'known' });
    expect(through.slope).toBeCloseTo(fitThroughOrigin(repeat(x), repeat(y)).slope, 13);
  });

  it('has the covariance of the normal equations (XᵀWX)⁻¹', () => {
    const x = [12, 30, 44, 71, 99];
    const y = [11, 31, 43, 72, 98];
    const weights = [4, 1, 2.5, 0.5, 3];
    const { covariance } = fitLine(x, y, { weights, scale: 'known' });
    const sum = (of: (at: number) => number): number =>
      x.reduce((total, _, at) => total + weights[at]! * of(at), 0);
    const reference = inverse([
      [sum(() => 1), sum((at) => x[at]!)],
      [sum((at) => x[at]!), sum((at) => x[at]! ** 2)],
    ])!;
    expect(covariance.intercept).toBeCloseTo(reference[0]![0]!, 12);
    expect(covariance.slope).toBeCloseTo(reference[1]![1]!, 12);
    expect(covariance.interceptSlope).toBeCloseTo(reference[0]![1]!, 12);
  });

  it('is refused without two different x', () => {
    expect(() => fitLine([1], [1])).toThrow(RangeError);
    expect(() => fitLine([2, 2, 2], [1, 2, 3])).toThrow(RangeError);
    expect(() => fitLine([1, 2], [1, 2, 3])).toThrow(RangeError);
    expect(() => fitThroughOrigin([0, 0], [1, 2])).toThrow(RangeError);
  });
});

describe('the inverse of a matrix', () => {
  it('times the matrix is the identity for random matrices (seeds 1 to 30)', () => {
    for (let seed = 1; seed <= 30; seed++) {
      const random = seededRandom(seed, 5);
      const size = 1 + random.index(18);
      const matrix = Array.from({ length: size }, () => Array.from({ length: size }, () => random.normal()));
      const inverted = inverse(matrix)!;
      for (let i = 0; i < size; i++) {
        for (let j = 0; j < size; j++) {
          const entry = matrix[i]!.reduce((sum, value, k) => sum + value * inverted[k]![j]!, 0);
          expect(entry, `seed ${seed}`).toBeCloseTo(i === j ? 1 : 0, 8);
        }
      }
    }
  });

  it('is none for a singular one, and a shape that is not square is misuse', () => {
    expect(
      inverse([
        [1, 2],
        [2, 4],
      ]),
    ).toBeNull();
    expect(() => inverse([[1, 2]])).toThrow(RangeError);
  });
});
