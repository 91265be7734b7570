/** What the session is given to measure with, so that it can be tested with parts of known behaviour. */
import type { AmbientLine, IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type { LinkState } from '../board/link-types.ts';
import type { ErrorCode } from '../error-catalogue.ts';
import type { EngineSetup } from '../signal/engine-setup.ts';
import type { BalanceTerms, InstrumentOptions } from '../signal/instrument.ts';
import type { FoldedWaveform, Reading } from '../signal/reading.ts';
import type { TakenSample } from './sample-intake.ts';

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

/** Sees what comes from the board beside the measurement: the calibration desk, the health of the board. */
export interface SampleObserver {
  /** Another board, or the same one set up in another way. */
  onBoard(identity: IdentityLine): void;
  /** @param absoluteKpa of every channel, by the scales in force; NaN where there is none */
  onSample(line: SampleLine, taken: TakenSample, absoluteKpa: ArrayLike<number>, arrivedMs: number): void;
  onAmbient(line: AmbientLine): void;
  /** Samples do not join on to those before. */
  onBreak(): void;
  onLinkState(state: LinkState): void;
}

/** An answer to something the person asked for. */
export type Outcome<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly code: ErrorCode; readonly detail?: string };
