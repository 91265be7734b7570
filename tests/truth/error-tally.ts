/** Running figures of an error: how many, its mean, its root mean square, its greatest size. */
export interface ErrorTally {
  count: number;
  sum: number;
  sumOfSquares: number;
  greatest: number;
}

export function errorTally(): ErrorTally {
  return { count: 0, sum: 0, sumOfSquares: 0, greatest: 0 };
}

export function addError(tally: ErrorTally, error: number): void {
  tally.count++;
  tally.sum += error;
  tally.sumOfSquares += error * error;
  tally.greatest = Math.max(tally.greatest, Math.abs(error));
}

export function mergeTally(into: ErrorTally, from: ErrorTally): void {
  into.count += from.count;
  into.sum += from.sum;
  into.sumOfSquares += from.sumOfSquares;
  into.greatest = Math.max(into.greatest, from.greatest);
}

/** Not a number when nothing was counted: no claim can rest on it. */
export function rootMeanSquare(tally: ErrorTally): number {
  return Math.sqrt(tally.sumOfSquares / tally.count);
}

export function bias(tally: ErrorTally): number {
  return tally.sum / tally.count;
}
