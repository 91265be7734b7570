/**
 * How much of a channel's variance its mean over a trial period explains: the phase dispersion minimisation of
 * Stellingwerf, Astrophysical Journal 224, 953 (1978). It needs no even sampling and no particular pulse shape.
 */
import type { SampleHistory } from './sample-history.ts';

/** Samples of one channel in one fold at most: more only cost time. */
const MOST_POINTS = 560;
const MOST_BINS = 24;
/** Samples per bin at least, and bins at least. */
const LEAST_PER_BIN = 4;
const LEAST_BINS = 4;
/** Swings smaller than this are no pulse [kPa]. */
const LEAST_SWING_KPA = 0.15;
/** Standard deviations of chance that are taken off what a fold explains. */
const CHANCE_SIGMAS = 3;
/** A fold counts in full if its samples vary by this part of what the channel does in a second. */
const LEAST_SHARE = 0.4;

const sums = new Float64Array(MOST_BINS);
const counts = new Float64Array(MOST_BINS);

export class FoldedVariance {
  /** Time of the newest final sample, and how far back the samples go [s]. */
  readonly endS: number;
  readonly spanS: number;
  readonly #history: SampleHistory;
  /** Variance of each channel over the last second [kPa²]. */
  readonly #overall: readonly number[];
  /** Bins of the newest fold. */
  #bins = 0;

  constructor(history: SampleHistory) {
    this.#history = history;
    this.endS = history.timeOfRow(history.finalRows - 1);
    this.spanS = this.endS - history.timeOfRow(history.firstRow);
    this.#overall = Array.from({ length: history.channels }, (_, channel) => this.#variance(channel));
  }

  /**
   * Von Neumann's ratio of the folded mean: mean square of its steps from bin to bin over its variance. A pulse folded
   * at its true period is smooth. At a period that fits only because the sampling skips from place to place it is not.
   *
   * @returns 0 (smooth) to about 2 (no order) and more; 4 when there is too little to tell
   */
  roughness(channel: number, periodS: number, windowS: number, mostBins: number): number {
    if (this.explained(channel, periodS, windowS, mostBins) === 0) return 4;
    const means: number[] = [];
    for (let bin = 0; bin < this.#bins; bin++) if (counts[bin]! > 0) means.push(sums[bin]! / counts[bin]!);
    const mean = means.reduce((sum, value) => sum + value, 0) / means.length;
    let steps = 0;
    let squares = 0;
    for (let index = 0; index < means.length; index++) {
      steps += (means[(index + 1) % means.length]! - means[index]!) ** 2;
      squares += (means[index]! - mean) ** 2;
    }
    return squares > 0 ? steps / squares : 4;
  }

  /**
   * @param windowS how much of the newest samples is folded [s]
   * @param mostBins bins of the fold, at most 24; fewer when there are few samples
   * @returns 1 - (variance within the bins) / (variance of all), 0-1, less what chance may have done; 0 when there is nothing to explain
   */
  explained(channel: number, periodS: number, windowS: number, mostBins: number): number {
    const history = this.#history;
    const { values, times, mask } = history.column(channel);
    const lastRow = history.finalRows - 1;
    const firstRow = Math.max(history.firstRow, history.rowAtOrBefore(channel, this.endS - windowS) + 1);
    const rows = lastRow - firstRow + 1;
    const stride = Math.max(1, Math.floor(rows / MOST_POINTS));
    const points = Math.floor((rows + stride - 1) / stride);
    const bins = Math.min(mostBins, Math.floor(points / LEAST_PER_BIN));
    if (bins < LEAST_BINS) return 0;
    this.#bins = bins;
    sums.fill(0, 0, bins);
    counts.fill(0, 0, bins);
    const originS = times[firstRow & mask]!;
    const shift = values[firstRow & mask]!;
    const perPeriod = 1 / periodS;
    let sum = 0;
    let squares = 0;
    let lowest = Number.POSITIVE_INFINITY;
    let highest = Number.NEGATIVE_INFINITY;
    for (let row = firstRow; row <= lastRow; row += stride) {
      const at = row & mask;
      const value = values[at]! - shift;
      const turns = (times[at]! - originS) * perPeriod;
      const bin = ((turns - Math.floor(turns)) * bins) | 0;
      sums[bin] = sums[bin]! + value;
      counts[bin] = counts[bin]! + 1;
      sum += value;
      squares += value * value;
      if (value < lowest) lowest = value;
      if (value > highest) highest = value;
    }
    if (!(highest - lowest > LEAST_SWING_KPA)) return 0;
    const total = squares - (sum * sum) / points;
    if (!(total > 0)) return 0;
    let between = 0;
    let used = 0;
    for (let bin = 0; bin < bins; bin++) {
      if (counts[bin]! > 0) {
        between += (sums[bin]! * sums[bin]!) / counts[bin]!;
        used++;
      }
    }
    between -= (sum * sum) / points;
    if (points - used < 2) return 0;
    const within = (total - between) / (points - used);
    const explained = 1 - within / (total / (points - 1));
    // Few samples in many bins explain something by chance: count on the unlucky side of that.
    const chance = (CHANCE_SIGMAS * Math.sqrt(2 * (used - 1))) / points;
    // A short window that caught only the quiet part of a pulse explains nothing of the whole.
    const share = total / (points * Math.max(1e-12, LEAST_SHARE * this.#overall[channel]!));
    return Math.max(0, explained - chance * (1 - explained)) * Math.min(1, share);
  }

  #variance(channel: number): number {
    const history = this.#history;
    const { values, mask } = history.column(channel);
    const lastRow = history.finalRows - 1;
    const firstRow = Math.max(history.firstRow, history.rowAtOrBefore(channel, this.endS - 1) + 1);
    const stride = Math.max(1, Math.floor((lastRow - firstRow) / MOST_POINTS));
    const shift = values[lastRow & mask]!;
    let count = 0;
    let sum = 0;
    let squares = 0;
    for (let row = firstRow; row <= lastRow; row += stride) {
      const value = values[row & mask]! - shift;
      count++;
      sum += value;
      squares += value * value;
    }
    return count < 2 ? 0 : (squares - (sum * sum) / count) / (count - 1);
  }
}
