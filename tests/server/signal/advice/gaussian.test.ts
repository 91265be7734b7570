import jstat from 'jstat';
import { linearRegression } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import {
  type Gaussian,
  logDensity,
  logMeanExp,
  mixed,
  observed,
} from '../../../../server/signal/advice/gaussian.ts';

describe('the density of a normal distribution', () => {
  it('of independent values is the product of those of jStat', () => {
    const mean = [1, -2, 0.5];
    const sd = [0.3, 2, 1];
    const value = [1.2, 0, -1];
    const covariance = sd.map((s, i) => sd.map((_, j) => (i === j ? s * s : 0)));
    const product = value.reduce((sum, x, i) => sum + Math.log(jstat.normal.pdf(x, mean[i]!, sd[i]!)), 0);
    expect(logDensity(value, { mean, covariance })).toBeCloseTo(product, 10);
  });

  it('of two correlated values is the closed form of the textbooks', () => {
    const [sx, sy, rho] = [1.5, 0.4, 0.7];
    const covariance = [
      [sx * sx, rho * sx * sy],
      [rho * sx * sy, sy * sy],
    ];
    const [x, y] = [0.8, -0.3];
    const q = (x / sx) ** 2 - (2 * rho * x * y) / (sx * sy) + (y / sy) ** 2;
    const closed = Math.exp(-q / (2 * (1 - rho * rho))) / (2 * Math.PI * sx * sy * Math.sqrt(1 - rho * rho));
    expect(logDensity([x, y], { mean: [0, 0], covariance })).toBeCloseTo(Math.log(closed), 10);
  });

  it('refuses a covariance that is none', () => {
    expect(() => logDensity([0], { mean: [0], covariance: [[-1]] })).toThrow(RangeError);
  });
});

describe('an observation', () => {
  it('of one quantity gives the mean weighted by the inverse variances', () => {
    const after = observed({ mean: [2], covariance: [[0.09]] }, [3], [[0.01]]);
    expect(after.mean[0]).toBeCloseTo((2 / 0.09 + 3 / 0.01) / (1 / 0.09 + 1 / 0.01), 10);
    expect(after.covariance[0]![0]).toBeCloseTo(1 / (1 / 0.09 + 1 / 0.01), 10);
  });

  it('of many points of a line, one by one, ends at the regression of simple-statistics', () => {
    const points = Array.from({ length: 30 }, (_, i) => [i / 3, 1.5 - 0.4 * i + Math.sin(7 * i)]);
    const noise = 0.25;
    let state: Gaussian = {
      mean: [0, 0],
      covariance: [
        [1e8, 0],
        [0, 1e8],
      ],
    };
    for (const [x, y] of points) {
      // The state is intercept and slope; seen through (1, x), as two equations of which one says nothing.
      const seen = through(state, [1, x!], y!, noise);
      state = seen;
    }
    const line = linearRegression(points);
    expect(state.mean[0]).toBeCloseTo(line.b, 4);
    expect(state.mean[1]).toBeCloseTo(line.m, 4);
  });

  it('leaves a covariance that is symmetric', () => {
    const prior = {
      mean: [0, 0, 0],
      covariance: [
        [2, 0.3, 0.1],
        [0.3, 1, 0.2],
        [0.1, 0.2, 0.5],
      ],
    };
    const { covariance } = observed(
      prior,
      [1, 2, 3],
      [
        [0.1, 0.02, 0],
        [0.02, 0.2, 0],
        [0, 0, 0.3],
      ],
    );
    for (let i = 0; i < 3; i++)
      for (let j = 0; j < 3; j++) expect(covariance[i]![j]).toBeCloseTo(covariance[j]![i]!, 12);
  });
});

/** A scalar observation hᵀ state = y, put into the form of `observed` by a rotation that brings h to the first axis. */
function through(state: Gaussian, h: readonly [number, number], y: number, variance: number): Gaussian {
  const length = Math.hypot(...h);
  const turn = [
    [h[0] / length, h[1] / length],
    [-h[1] / length, h[0] / length],
  ];
  const rotate = (v: readonly number[]) => turn.map((row) => row[0]! * v[0]! + row[1]! * v[1]!);
  const back = (v: readonly number[]) => [0, 1].map((i) => turn[0]![i]! * v[0]! + turn[1]![i]! * v[1]!);
  const rotated = (m: readonly (readonly number[])[]) => {
    const half = m.map((row) => rotate(row));
    return [0, 1].map((i) => [0, 1].map((j) => turn[i]![0]! * half[0]![j]! + turn[i]![1]! * half[1]![j]!));
  };
  const after = observed(
    { mean: rotate(state.mean), covariance: rotated(state.covariance) },
    [y / length, 0],
    [
      [variance / length ** 2, 0],
      [0, 1e12],
    ],
  );
  const columns = after.covariance.map((row) => back(row));
  const covariance = [0, 1].map((i) =>
    [0, 1].map((j) => turn[0]![i]! * columns[0]![j]! + turn[1]![i]! * columns[1]![j]!),
  );
  return { mean: back(after.mean), covariance };
}

it('the logarithm of a mean of exponentials does not overflow', () => {
  expect(logMeanExp([0, 0])).toBeCloseTo(0, 12);
  expect(logMeanExp([-1000, -1000])).toBeCloseTo(-1000, 9);
  expect(logMeanExp([Math.log(1), Math.log(3)])).toBeCloseTo(Math.log(2), 12);
});

it('a mixture has the mean and variance of the law of total variance', () => {
  const parts = [
    { mean: [1], covariance: [[0.04]] },
    { mean: [-2], covariance: [[0.25]] },
  ];
  const { mean, covariance } = mixed(parts, [Math.log(3), Math.log(1)]);
  expect(mean[0]).toBeCloseTo(0.75 * 1 + 0.25 * -2, 12);
  const within = 0.75 * 0.04 + 0.25 * 0.25;
  const between = 0.75 * (1 - 0.25) ** 2 + 0.25 * (-2 - 0.25) ** 2;
  expect(covariance[0]![0]).toBeCloseTo(within + between, 12);
});
