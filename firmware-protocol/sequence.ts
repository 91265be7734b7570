import type { SampleLine } from './lines.ts';
import { SEQUENCE_MODULUS, TIME_MODULUS_TICKS } from './lines.ts';

/**
 * How a sample stands to the ones before it.
 *
 * - `first`: nothing to compare with
 * - `next`: follows directly
 * - `gap`: follows, but `missing` samples in between did not arrive
 * - `duplicate`: already seen
 * - `late`: older than the newest one, out of order
 * - `restart`: fits nowhere; the board has started again, or was away for longer than its clock can tell
 */
export type SampleOrder = 'first' | 'next' | 'gap' | 'duplicate' | 'late' | 'restart';

export interface PlacedSample {
  readonly order: SampleOrder;
  /** Samples that did not arrive between the newest one and this one; 0 unless `gap`. */
  readonly missing: number;
  /** Counts the restarts; times of different epochs cannot be compared. */
  readonly epoch: number;
  /** Sequence number without wrap, within the epoch. */
  readonly index: number;
  /** Board clock without wrap [ticks], within the epoch; exact up to 2^53. */
  readonly timeTicks: number;
}

/** Steps from one sequence number to another, the shorter way round: -32768…32767. */
export function sequenceDifference(from: number, to: number): number {
  return signedDifference(from, to, SEQUENCE_MODULUS);
}

/** Ticks from one board time to another, the shorter way round: -2^31…2^31-1. */
export function timeDifferenceTicks(from: number, to: number): number {
  return signedDifference(from, to, TIME_MODULUS_TICKS);
}

/** A sample this far behind the newest one is late; further back it is a restart. */
export const MAX_LATE_SAMPLES = 16;

/** Sequence and clock may disagree by this many samples … */
export const ORDER_TOLERANCE_SAMPLES = 2;
/** … and by this share of the distance, for boards that round the rate they report. */
export const ORDER_TOLERANCE_SHARE = 0.01;

/**
 * Puts samples in order by sequence number and board clock together. Neither suffices: the sequence number
 * is ambiguous after 65536 samples, and both jump when the board resets. Pure state, no clock of its own.
 */
export class SampleSequence {
  #ticksPerSample: number;
  #newest: { readonly sequence: number; readonly timeTicks: number } | null = null;
  #epoch = 0;
  #index = 0;
  #timeTicks = 0;

  /** @param ticksPerSample clock rate / sample rate of the board's identity, more than 0 */
  constructor(ticksPerSample: number) {
    this.#ticksPerSample = positive(ticksPerSample);
  }

  /** After a new identity line; the samples before and after stay in one epoch. */
  setTicksPerSample(ticksPerSample: number): void {
    this.#ticksPerSample = positive(ticksPerSample);
  }

  place(sample: Pick<SampleLine, 'sequence' | 'timeTicks'>): PlacedSample {
    const newest = this.#newest;
    if (newest === null) return this.#begin('first', sample);
    if (sample.sequence === newest.sequence && sample.timeTicks === newest.timeTicks) {
      return this.#result('duplicate', 0, this.#index, this.#timeTicks);
    }
    // Before the way forward: a step back is also a very long way forward, round both counters.
    const back = sequenceDifference(newest.sequence, sample.sequence);
    const backTicks = timeDifferenceTicks(newest.timeTicks, sample.timeTicks);
    if (back < 0 && back >= -MAX_LATE_SAMPLES && backTicks < 0 && this.#agree(-back, -backTicks)) {
      return this.#result('late', 0, this.#index + back, this.#timeTicks + backTicks);
    }
    const forwardTicks = modulo(sample.timeTicks - newest.timeTicks, TIME_MODULUS_TICKS);
    const steps = this.#stepsForward(
      modulo(sample.sequence - newest.sequence, SEQUENCE_MODULUS),
      forwardTicks,
    );
    if (steps !== null) {
      this.#newest = { sequence: sample.sequence, timeTicks: sample.timeTicks };
      this.#index += steps;
      this.#timeTicks += forwardTicks;
      return this.#result(steps === 1 ? 'next' : 'gap', steps - 1, this.#index, this.#timeTicks);
    }
    this.#epoch++;
    return this.#begin('restart', sample);
  }

  #begin(order: 'first' | 'restart', sample: Pick<SampleLine, 'sequence' | 'timeTicks'>): PlacedSample {
    this.#newest = { sequence: sample.sequence, timeTicks: sample.timeTicks };
    this.#index = sample.sequence;
    this.#timeTicks = sample.timeTicks;
    return this.#result(order, 0, this.#index, this.#timeTicks);
  }

  /** The number of steps that is congruent to `steps` and agrees with the clock, or null if none does. */
  #stepsForward(steps: number, forwardTicks: number): number | null {
    const byClock = forwardTicks / this.#ticksPerSample;
    const wraps = Math.round((byClock - steps) / SEQUENCE_MODULUS);
    const whole = steps + wraps * SEQUENCE_MODULUS;
    return whole > 0 && this.#agree(whole, forwardTicks) ? whole : null;
  }

  #agree(steps: number, ticks: number): boolean {
    const byClock = ticks / this.#ticksPerSample;
    const tolerance = ORDER_TOLERANCE_SAMPLES + ORDER_TOLERANCE_SHARE * Math.max(steps, byClock);
    return Math.abs(steps - byClock) <= tolerance;
  }

  #result(order: SampleOrder, missing: number, index: number, timeTicks: number): PlacedSample {
    return { order, missing, epoch: this.#epoch, index, timeTicks };
  }
}

function positive(ticksPerSample: number): number {
  if (!(ticksPerSample > 0 && Number.isFinite(ticksPerSample))) {
    throw new RangeError(`Ticks per sample must be more than 0, not ${ticksPerSample}`);
  }
  return ticksPerSample;
}

function modulo(value: number, modulus: number): number {
  return ((value % modulus) + modulus) % modulus;
}

function signedDifference(from: number, to: number, modulus: number): number {
  const forward = modulo(to - from, modulus);
  return forward < modulus / 2 ? forward : forward - modulus;
}
