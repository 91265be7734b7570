/** Normal distributions of a few dimensions: how likely a value is, and what an observation teaches. */
import { inverse, type Matrix, sandwich } from '../../../calibration/solve-linear.ts';

export interface Gaussian {
  readonly mean: readonly number[];
  readonly covariance: Matrix;
}

/** A pivot smaller than this part of its diagonal is rounding. */
const ROUNDING = 1e-12;

export function addMatrices(a: Matrix, b: Matrix): number[][] {
  return a.map((row, i) => row.map((value, j) => value + b[i]![j]!));
}

export function scaleMatrix(matrix: Matrix, factor: number): number[][] {
  return matrix.map((row) => row.map((value) => factor * value));
}

/** v vᵀ, times a factor. */
export function outer(v: readonly number[], factor = 1): number[][] {
  return v.map((left) => v.map((right) => factor * left * right));
}

export function identity(size: number, factor = 1): number[][] {
  return Array.from({ length: size }, (_, i) =>
    Array.from({ length: size }, (_, j) => (i === j ? factor : 0)),
  );
}

export function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, value, at) => sum + value * b[at]!, 0);
}

export function norm(v: readonly number[]): number {
  return Math.hypot(...v);
}

/** Natural logarithm of the density at a value. The covariance is positive definite. */
export function logDensity(value: readonly number[], { mean, covariance }: Gaussian): number {
  const lower = cholesky(covariance);
  let squares = 0;
  let logRoot = 0;
  const whitened: number[] = [];
  for (const [i, row] of lower.entries()) {
    let rest = value[i]! - mean[i]!;
    for (let j = 0; j < i; j++) rest -= row[j]! * whitened[j]!;
    whitened.push(rest / row[i]!);
    squares += whitened[i]! ** 2;
    logRoot += Math.log(row[i]!);
  }
  return -0.5 * squares - logRoot - 0.5 * value.length * Math.log(2 * Math.PI);
}

/**
 * What is known of a quantity after it was seen with noise: the Kalman update (R. E. Kalman, Journal of Basic
 * Engineering 82, 1960), which for a state that stands still is recursive least squares. The covariance is in Joseph's
 * form, which rounding leaves positive.
 */
export function observed(prior: Gaussian, value: readonly number[], noise: Matrix): Gaussian {
  const inverted = inverse(addMatrices(prior.covariance, noise));
  // So large beside so small that it has no inverse within rounding: it teaches nothing.
  if (inverted === null) return prior;
  const gain = multiply(prior.covariance, inverted);
  const surprise = value.map((one, at) => one - prior.mean[at]!);
  const mean = prior.mean.map((one, at) => one + dot(gain[at]!, surprise));
  const left = gain.map((row, i) => row.map((one, j) => (i === j ? 1 : 0) - one));
  return { mean, covariance: addMatrices(sandwich(left, prior.covariance), sandwich(gain, noise)) };
}

export function multiply(a: Matrix, b: Matrix): number[][] {
  return a.map((row) =>
    b[0]!.map((_, column) => row.reduce((sum, value, at) => sum + value * b[at]![column]!, 0)),
  );
}

/** The normal distribution with the mean and covariance of a mixture, of whose parts the logarithmic weights are given. */
export function mixed(parts: readonly Gaussian[], logWeights: readonly number[]): Gaussian {
  const highest = Math.max(...logWeights);
  const weights = logWeights.map((log) => Math.exp(log - highest));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const size = parts[0]!.mean.length;
  const mean = Array.from({ length: size }, (_, axis) =>
    parts.reduce((sum, part, at) => sum + (weights[at]! / total) * part.mean[axis]!, 0),
  );
  const covariance = parts.reduce<Matrix>(
    (sum, part, at) => {
      const off = part.mean.map((value, axis) => value - mean[axis]!);
      return addMatrices(sum, scaleMatrix(addMatrices(part.covariance, outer(off)), weights[at]! / total));
    },
    identity(size, 0),
  );
  return { mean, covariance };
}

/** Logarithm of the mean of values of which the logarithms are given. */
export function logMeanExp(values: readonly number[]): number {
  const highest = Math.max(...values);
  return (
    highest + Math.log(values.reduce((sum, value) => sum + Math.exp(value - highest), 0) / values.length)
  );
}

function cholesky(matrix: Matrix): number[][] {
  if (!matrix.every((row, at) => row[at]! > 0)) throw new RangeError('A covariance is positive definite');
  const lower: number[][] = matrix.map((row) => row.map(() => 0));
  for (let i = 0; i < matrix.length; i++) {
    for (let j = 0; j <= i; j++) {
      let rest = matrix[i]![j]!;
      for (let k = 0; k < j; k++) rest -= lower[i]![k]! * lower[j]![k]!;
      if (i !== j) lower[i]![j] = rest / lower[j]![j]!;
      else lower[i]![i] = Math.sqrt(Math.max(rest, ROUNDING * matrix[i]![i]!));
    }
  }
  return lower;
}
