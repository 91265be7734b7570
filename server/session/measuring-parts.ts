/** What the session is given to measure with, so that it can be tested with parts of known behaviour. */
import type { IdentityLine } from '../../firmware-protocol/lines.ts';
import type { ErrorCode } from '../error-catalogue.ts';
import type { EngineSetup } from '../signal/engine-setup.ts';
import type { BalanceTerms, InstrumentOptions } from '../signal/instrument.ts';
import type { FoldedWaveform, Reading } from '../signal/reading.ts';

/** The measurement proper: samples in, reading out. */
export interface MeasuringInstrument {
  /** @param absoluteKpa one per cylinder, NaN = missing */
  push(timeS: number, absoluteKpa: ArrayLike<number>): void;
  breakInSamples(): void;
  /** Other terms of comparison without starting to measure afresh. */
  setTerms(terms: BalanceTerms): void;
  reading(): Reading;
  folded(): readonly FoldedWaveform[];
}

export type NewInstrument = (
  setup: EngineSetup,
  channelDelaysS: readonly number[],
  scales: ChannelScales,
) => MeasuringInstrument;

/** From raw counts to absolute pressure for every channel of one board. */
export interface ChannelScales {
  /** Absolute pressure [kPa], NaN where the count means none. `ambientKpa` serves sensors that measure from it. */
  absoluteKpa(channel: number, counts: number, ambientKpa: number): number;
  /** What a capture keeps to compute the same again: a JSON value. */
  readonly record: unknown;
  /** What the measurement has to know of the sensors of the first channels: ranges and uncertainties. */
  instrumentOptions(cylinders: number): InstrumentOptions;
  /** Something about the sensors that the person should know of, or null. */
  readonly trouble: ErrorCode | null;
}

export type ScalesFor = (identity: IdentityLine) => ChannelScales;

/** An answer to something the person asked for. */
export type Outcome<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly code: ErrorCode; readonly detail?: string };
