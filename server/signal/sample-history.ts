/**
 * The last seconds of samples of all channels, ready for questions of the kind 'what was the mean between
 * these two instants?'. One shared time axis, one column per channel, and for each column the running
 * trapezoid integral, so that a mean over any stretch costs two look-ups whatever its length.
 *
 * A row becomes final when the next one arrives: a single-sample spike can only be told from its neighbours.
 */
import { SpikeGuard } from './spike-guard.ts';

/** Rows kept at first; doubled while they hold less than `KEPT_S`. */
const FIRST_CAPACITY = 4096;
const LARGEST_CAPACITY = 1 << 18;
/** Long enough for eight cycles at 300 r/min. */
const KEPT_S = 4;
/** Intervals this many times the usual one count as a hole in the samples. */
const HOLE_FACTOR = 1.6;
/** What no intake of an engine reaches is no sample [kPa absolute]. */
const LEAST_KPA = -100;
const MOST_KPA = 1000;
/** Holes remembered per channel. */
const KEPT_HOLES = 64;
/** How fast the estimate of the usual interval may follow, per sample. */
const INTERVAL_RATE = 0.01;

export class SampleHistory {
  readonly channels: number;
  /** Rows accepted since the start. Row n is kept while `n >= firstRow`. */
  rows = 0;
  /** Single-sample spikes replaced, per channel. */
  readonly spikes: Int32Array;

  #mask = FIRST_CAPACITY - 1;
  #times = new Float64Array(FIRST_CAPACITY);
  #values: Float64Array[];
  #integrals: Float64Array[];
  /** 1 where a sample arrived, 0 where a straight line stands in for it. */
  #arrived: Uint8Array[];
  #oldest = 0;
  #usualIntervalS = 0;
  readonly #delaysS: Float64Array;
  readonly #guards: SpikeGuard[];
  readonly #lastValidRow: Int32Array;
  readonly #holeStartS: Float64Array[];
  readonly #holeEndS: Float64Array[];
  readonly #holes: Int32Array;

  /** @param delaysS time of each channel's conversion after the row's time [s], one per channel. */
  constructor(delaysS: readonly number[]) {
    this.channels = delaysS.length;
    this.#delaysS = Float64Array.from(delaysS);
    this.#values = columns(this.channels, FIRST_CAPACITY);
    this.#integrals = columns(this.channels, FIRST_CAPACITY);
    this.#arrived = this.#values.map(() => new Uint8Array(FIRST_CAPACITY));
    this.#guards = Array.from({ length: this.channels }, () => new SpikeGuard());
    this.spikes = new Int32Array(this.channels);
    this.#lastValidRow = new Int32Array(this.channels).fill(-1);
    this.#holeStartS = columns(this.channels, KEPT_HOLES);
    this.#holeEndS = columns(this.channels, KEPT_HOLES);
    this.#holes = new Int32Array(this.channels);
  }

  /** Oldest row still kept. */
  get firstRow(): number {
    return this.#oldest;
  }

  /** Rows that no later sample can change any more: row numbers below this are final. */
  get finalRows(): number {
    return Math.max(this.#oldest, this.rows - 1);
  }

  /** The interval between rows that is usual of late [s]; 0 before the second row. */
  get usualIntervalS(): number {
    return this.#usualIntervalS;
  }

  timeOfRow(row: number): number {
    return this.#times[row & this.#mask]!;
  }

  delayOf(channel: number): number {
    return this.#delaysS[channel]!;
  }

  value(channel: number, row: number): number {
    return this.#values[channel]![row & this.#mask]!;
  }

  /** The column itself with its index mask, for loops over many rows: row n stands at `n & mask`. */
  column(channel: number): {
    readonly values: Float64Array;
    readonly times: Float64Array;
    /** 1 where a sample arrived, 0 where the value is only bridged: it tells of no pulse. */
    readonly arrived: Uint8Array;
    readonly mask: number;
  } {
    const values = this.#values[channel]!;
    return { values, times: this.#times, arrived: this.#arrived[channel]!, mask: this.#mask };
  }

  /** Forgets everything that was sampled; the counters stay. */
  clear(): void {
    this.#oldest = this.rows;
    this.#lastValidRow.fill(-1);
    this.#holes.fill(0);
    for (const guard of this.#guards) guard.restart();
  }

  /**
   * Takes one row. Values that are not finite, or that no engine reaches, are missing samples: they are bridged in a
   * straight line and remembered as a hole. A row that is not later than the one before it is refused.
   *
   * @returns whether the row was taken
   */
  push(timeS: number, row: ArrayLike<number>): boolean {
    if (!Number.isFinite(timeS)) return false;
    const n = this.rows;
    const first = n === this.#oldest;
    if (!first) {
      const intervalS = timeS - this.#times[(n - 1) & this.#mask]!;
      if (!(intervalS > 0)) return false;
      this.#followInterval(intervalS);
    }
    if (n - this.#oldest > this.#mask) this.#makeRoom();
    const mask = this.#mask;
    const at = n & mask;
    this.#times[at] = timeS;
    for (let channel = 0; channel < this.channels; channel++) {
      const raw = row[channel]!;
      const values = this.#values[channel]!;
      const valid = raw > LEAST_KPA && raw < MOST_KPA;
      const last = this.#lastValidRow[channel]!;
      this.#arrived[channel]![at] = valid ? 1 : 0;
      if (valid) {
        values[at] = raw;
        if (last >= this.#oldest && !first) this.#closeHole(channel, last, n);
        else if (!first) this.#startLate(channel, n);
        this.#lastValidRow[channel] = n;
      } else {
        values[at] = last >= this.#oldest && !first ? values[(n - 1) & mask]! : Number.NaN;
      }
      if (!first) this.#settleRow(channel, n);
      else this.#integrals[channel]![at] = 0;
    }
    this.rows = n + 1;
    return true;
  }

  /** Largest row whose time on this channel is at or before `timeS`; `firstRow - 1` when there is none. */
  rowAtOrBefore(channel: number, timeS: number): number {
    const wanted = timeS - this.#delaysS[channel]!;
    let low = this.#oldest - 1;
    let high = this.rows - 1;
    if (high < this.#oldest) return low;
    // Samples come at nearly even intervals: a guess is nearly always right to a row or two.
    const newest = this.#times[high & this.#mask]!;
    if (newest <= wanted) return high;
    if (this.#usualIntervalS > 0) {
      const guess = high - Math.ceil((newest - wanted) / this.#usualIntervalS);
      const from = Math.max(low, guess - 2);
      const to = Math.min(high, guess + 3);
      if (from >= this.#oldest && this.#times[from & this.#mask]! <= wanted) low = from;
      if (to >= this.#oldest && this.#times[to & this.#mask]! > wanted) high = to;
    }
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.#times[middle & this.#mask]! <= wanted) low = middle;
      else high = middle;
    }
    return low;
  }

  /**
   * Time mean of one channel over [fromS, toS], the boundaries interpolated between samples [unit of the values].
   * NaN when the stretch is not wholly kept and final, or empty.
   */
  meanBetween(channel: number, fromS: number, toS: number): number {
    if (!(toS > fromS)) return Number.NaN;
    return (this.#integralTo(channel, toS) - this.#integralTo(channel, fromS)) / (toS - fromS);
  }

  /** Longest hole in one channel's samples that touches [fromS, toS]; 0 when there is none [s]. */
  longestHoleS(channel: number, fromS: number, toS: number): number {
    const known = Math.min(KEPT_HOLES, this.#holes[channel]!);
    let longest = this.#openHoleS(channel, toS);
    for (let index = 0; index < known; index++) {
      const start = this.#holeStartS[channel]![index]!;
      const end = this.#holeEndS[channel]![index]!;
      if (end > fromS && start < toS) longest = Math.max(longest, end - start);
    }
    return longest;
  }

  /** A hole that has not ended yet: from the newest valid sample to the end of the question. */
  #openHoleS(channel: number, toS: number): number {
    const last = this.#lastValidRow[channel]!;
    if (last === this.rows - 1) return 0;
    if (last < this.#oldest) return Number.POSITIVE_INFINITY;
    const openS = toS - this.#times[last & this.#mask]! - this.#delaysS[channel]!;
    return openS > HOLE_FACTOR * this.#usualIntervalS ? openS : 0;
  }

  #integralTo(channel: number, timeS: number): number {
    const row = this.rowAtOrBefore(channel, timeS);
    if (row < this.#oldest || row + 1 >= this.rows) return Number.NaN;
    const mask = this.#mask;
    const values = this.#values[channel]!;
    const startS = this.#times[row & mask]!;
    const stepS = this.#times[(row + 1) & mask]! - startS;
    const partS = timeS - this.#delaysS[channel]! - startS;
    const start = values[row & mask]!;
    const slope = (values[(row + 1) & mask]! - start) / stepS;
    return this.#integrals[channel]![row & mask]! + partS * (start + 0.5 * slope * partS);
  }

  /** Judges row n-1 between its neighbours, then brings the integrals up to row n. */
  #settleRow(channel: number, n: number): void {
    const mask = this.#mask;
    const values = this.#values[channel]!;
    const integral = this.#integrals[channel]!;
    const here = n & mask;
    const back1 = (n - 1) & mask;
    if (n - 2 >= this.#oldest) {
      const back2 = (n - 2) & mask;
      const mended = this.#guards[channel]!.mend(values[back2]!, values[back1]!, values[here]!);
      if (mended !== values[back1]!) {
        values[back1] = mended;
        this.spikes[channel] = this.spikes[channel]! + 1;
        integral[back1] =
          integral[back2]! + 0.5 * (values[back2]! + mended) * (this.#times[back1]! - this.#times[back2]!);
      }
    }
    integral[here] =
      integral[back1]! + 0.5 * (values[back1]! + values[here]!) * (this.#times[here]! - this.#times[back1]!);
  }

  /** Bridges the missing rows between two valid ones in a straight line and notes the hole. */
  #closeHole(channel: number, last: number, n: number): void {
    const mask = this.#mask;
    const startS = this.#times[last & mask]!;
    const endS = this.#times[n & mask]!;
    if (n - last > 1) {
      const values = this.#values[channel]!;
      const integral = this.#integrals[channel]!;
      const start = values[last & mask]!;
      const slope = (values[n & mask]! - start) / (endS - startS);
      for (let row = last + 1; row < n; row++) {
        const at = row & mask;
        const before = (row - 1) & mask;
        values[at] = start + slope * (this.#times[at]! - startS);
        integral[at] =
          integral[before]! +
          0.5 * (values[before]! + values[at]!) * (this.#times[at]! - this.#times[before]!);
      }
    }
    if (endS - startS > HOLE_FACTOR * this.#usualIntervalS) this.#noteHole(channel, startS, endS);
  }

  /** The first valid sample of a channel that began with missing ones: those take its value, as one hole. */
  #startLate(channel: number, n: number): void {
    const mask = this.#mask;
    const values = this.#values[channel]!;
    const integral = this.#integrals[channel]!;
    for (let row = this.#oldest; row < n; row++) {
      values[row & mask] = values[n & mask]!;
      integral[row & mask] =
        values[n & mask]! * (this.#times[row & mask]! - this.#times[this.#oldest & mask]!);
    }
    this.#noteHole(channel, this.#times[this.#oldest & mask]!, this.#times[n & mask]!);
  }

  #noteHole(channel: number, startS: number, endS: number): void {
    const slot = this.#holes[channel]! % KEPT_HOLES;
    this.#holeStartS[channel]![slot] = startS + this.#delaysS[channel]!;
    this.#holeEndS[channel]![slot] = endS + this.#delaysS[channel]!;
    this.#holes[channel] = this.#holes[channel]! + 1;
  }

  /** A running median of the intervals: it takes even steps up or down, so single holes do not move it. */
  #followInterval(intervalS: number): void {
    if (this.#usualIntervalS === 0) this.#usualIntervalS = intervalS;
    else if (intervalS > this.#usualIntervalS) {
      this.#usualIntervalS = Math.min(intervalS, this.#usualIntervalS * (1 + INTERVAL_RATE));
    } else {
      this.#usualIntervalS = Math.max(intervalS, this.#usualIntervalS * (1 - INTERVAL_RATE));
    }
  }

  /** The ring is full: a larger one while it holds too little time, else the oldest row goes. */
  #makeRoom(): void {
    const capacity = this.#mask + 1;
    const spanS = this.#times[(this.rows - 1) & this.#mask]! - this.#times[this.#oldest & this.#mask]!;
    if (spanS >= KEPT_S || capacity >= LARGEST_CAPACITY) {
      this.#oldest++;
      return;
    }
    const larger = capacity * 2;
    this.#times = this.#moved(this.#times, larger, new Float64Array(larger));
    this.#values = this.#values.map((column) => this.#moved(column, larger, new Float64Array(larger)));
    this.#integrals = this.#integrals.map((column) => this.#moved(column, larger, new Float64Array(larger)));
    this.#arrived = this.#arrived.map((column) => this.#moved(column, larger, new Uint8Array(larger)));
    this.#mask = larger - 1;
  }

  #moved<Column extends Float64Array | Uint8Array>(from: Column, capacity: number, to: Column): Column {
    for (let row = this.#oldest; row < this.rows; row++) to[row & (capacity - 1)] = from[row & this.#mask]!;
    return to;
  }
}

function columns(count: number, length: number): Float64Array[] {
  return Array.from({ length: count }, () => new Float64Array(length));
}
