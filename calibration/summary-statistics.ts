/** Mean, standard deviation and lag-1 autocorrelation that stay exact for large values with small scatter. */

export interface SummaryStatistics {
  readonly count: number;
  readonly mean: number;
  /** Sample standard deviation, denominator n - 1; null for fewer than two values. */
  readonly sd: number | null;
  /** Σ(y_i - m)(y_i+1 - m) / Σ(y_i - m)²; null for fewer than two values or no scatter. */
  readonly lag1: number | null;
}

/**
 * @param values at least one, all finite
 * @throws RangeError for no values
 * @example summarise([10000001, 10000003, 10000002]) // mean 10000002, sd 1, lag1 -0.5
 */
export function summarise(values: ArrayLike<number>): SummaryStatistics {
  const count = values.length;
  const mean = meanOf(values);
  const { squares, products } = sumsAbout(values, mean);
  return {
    count,
    mean,
    sd: count < 2 ? null : Math.sqrt(squares / (count - 1)),
    lag1: count < 2 || squares === 0 ? null : products / squares,
  };
}

/** Mean by a compensated sum, exact to its last digit. */
export function meanOf(values: ArrayLike<number>): number {
  const count = values.length;
  if (count === 0) throw new RangeError('A mean needs at least one value');
  return compensatedSum(values) / count;
}

/** Neumaier's variant of Kahan's summation: what each addition loses is kept and added in the end. */
export function compensatedSum(values: ArrayLike<number>): number {
  let sum = 0;
  let lost = 0;
  for (let index = 0; index < values.length; index++) {
    const value = values[index]!;
    const next = sum + value;
    lost += Math.abs(sum) >= Math.abs(value) ? sum - next + value : value - next + sum;
    sum = next;
  }
  return sum + lost;
}

/** Second pass, about the mean: nothing large is subtracted from anything large. */
function sumsAbout(values: ArrayLike<number>, mean: number): { squares: number; products: number } {
  let squares = 0;
  let products = 0;
  let before = 0;
  for (let index = 0; index < values.length; index++) {
    const deviation = values[index]! - mean;
    squares += deviation * deviation;
    if (index > 0) products += before * deviation;
    before = deviation;
  }
  return { squares, products };
}
