import type { Pulses } from '../contract/live.ts';
import type { FoldedWaveform } from '../signal/reading.ts';

/** Points per second that a screen can use. */
export const TRACE_POINTS_PER_S = 250;
/** A trace that nobody fetches does not grow beyond this. */
const MAX_POINTS = TRACE_POINTS_PER_S;

/** Gathers raw pressure for the screen, averaged down to a rate that it can draw. */
export class PulseTrace {
  readonly #channels: number;
  readonly #stride: number;
  readonly #sums: Float64Array;
  readonly #seen: Int32Array;
  #inStride = 0;
  #strideStartS = 0;
  #timeS: number[] = [];
  #columns: (number | null)[][];

  constructor(channels: number, sampleRateHz: number) {
    this.#channels = channels;
    this.#stride = Math.max(1, Math.ceil(sampleRateHz / TRACE_POINTS_PER_S));
    this.#sums = new Float64Array(channels);
    this.#seen = new Int32Array(channels);
    this.#columns = emptyColumns(channels);
  }

  /** @param absoluteKpa one per channel, NaN = missing */
  push(timeS: number, absoluteKpa: ArrayLike<number>): void {
    if (this.#inStride === 0) this.#strideStartS = timeS;
    for (let channel = 0; channel < this.#channels; channel++) {
      const value = absoluteKpa[channel]!;
      if (!Number.isFinite(value)) continue;
      this.#sums[channel]! += value;
      this.#seen[channel]!++;
    }
    if (++this.#inStride < this.#stride) return;
    this.#append((this.#strideStartS + timeS) / 2, (channel) =>
      this.#seen[channel] === 0 ? null : round(this.#sums[channel]! / this.#seen[channel]!, 100),
    );
    this.#restartStride();
  }

  /** Draws a gap: one point that is null on every channel. */
  break(timeS: number): void {
    this.#restartStride();
    this.#append(timeS, () => null);
  }

  /** What was gathered since the last call, or null when that is nothing. */
  take(folded: readonly FoldedWaveform[]): Pulses | null {
    if (this.#timeS.length === 0) return null;
    const message: Pulses = {
      type: 'pulses',
      timeS: this.#timeS,
      absoluteKpa: this.#columns,
      folded: folded.map(({ meanKpa, sdKpa }) => ({
        meanKpa: meanKpa.map(bin),
        sdKpa: sdKpa.map(bin),
      })),
    };
    this.#timeS = [];
    this.#columns = emptyColumns(this.#channels);
    return message;
  }

  #append(timeS: number, pointOf: (channel: number) => number | null): void {
    if (this.#timeS.length >= MAX_POINTS) {
      this.#timeS.shift();
      for (const column of this.#columns) column.shift();
    }
    this.#timeS.push(round(timeS, 1e4));
    this.#columns.forEach((column, channel) => {
      column.push(pointOf(channel));
    });
  }

  #restartStride(): void {
    this.#sums.fill(0);
    this.#seen.fill(0);
    this.#inStride = 0;
  }
}

function emptyColumns(channels: number): (number | null)[][] {
  return Array.from({ length: channels }, () => []);
}

function bin(value: number | null): number | null {
  return value === null || !Number.isFinite(value) ? null : round(value, 100);
}

function round(value: number, perUnit: number): number {
  return Math.round(value * perUnit) / perUnit;
}
