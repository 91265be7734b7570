/** A dense matrix as rows. */
export type Matrix = readonly (readonly number[])[];

/**
 * Inverse of a square matrix by Gauss-Jordan elimination with row pivoting.
 *
 * @param matrix n rows of n finite values, n up to some tens
 * @returns its inverse, or null where it has none
 * @throws RangeError when it is not square
 */
export function inverse(matrix: Matrix): number[][] | null {
  const n = matrix.length;
  const work = matrix.map((row, at) => {
    if (row.length !== n)
      throw new RangeError(`A square matrix has rows of ${n} values, not of ${row.length}`);
    return [...row, ...Array.from({ length: n }, (_, column) => (column === at ? 1 : 0))];
  });
  const largest = Math.max(...matrix.flat().map(Math.abs));
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let row = column + 1; row < n; row++)
      if (Math.abs(work[row]![column]!) > Math.abs(work[pivot]![column]!)) pivot = row;
    if (!(Math.abs(work[pivot]![column]!) > SINGULAR * largest)) return null;
    [work[column], work[pivot]] = [work[pivot]!, work[column]!];
    const head = work[column]!;
    const by = head[column]!;
    for (let at = column; at < 2 * n; at++) head[at]! /= by;
    for (let row = 0; row < n; row++) {
      const factor = work[row]![column]!;
      if (row === column || factor === 0) continue;
      for (let at = column; at < 2 * n; at++) work[row]![at]! -= factor * head[at]!;
    }
  }
  return work.map((row) => row.slice(n));
}

/** A pivot this much smaller than the largest entry is rounding. */
const SINGULAR = 1e-15;

/** vᵀ M w. */
export function bilinear(v: readonly number[], matrix: Matrix, w: readonly number[]): number {
  let sum = 0;
  for (let row = 0; row < v.length; row++) {
    const weight = v[row]!;
    if (weight === 0) continue;
    let inner = 0;
    for (let column = 0; column < w.length; column++) inner += matrix[row]![column]! * w[column]!;
    sum += weight * inner;
  }
  return sum;
}

/** A M Aᵀ: the covariance of A x where x has covariance M. */
export function sandwich(a: Matrix, matrix: Matrix): number[][] {
  return a.map((left) => a.map((right) => bilinear(left, matrix, right)));
}
