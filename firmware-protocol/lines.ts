/**
 * What travels between board and computer, as values. The text form, its limits and its examples are in
 * PROTOCOL.md; `decode-line.ts` and `encode-line.ts` go from one to the other. Everything here is pure.
 */

/** The version of the line protocol that this code speaks. */
export const PROTOCOL_VERSION = 1;

export const MIN_CHANNELS = 1;
export const MAX_CHANNELS = 8;

/** Sequence numbers count 0…65535 and start again at 0. */
export const SEQUENCE_MODULUS = 65_536;

/** Board time counts clock ticks modulo 2^32. */
export const TIME_MODULUS_TICKS = 4_294_967_296;

/** Who the board is and how it samples. Sent after power-up and on request. */
export interface IdentityLine {
  readonly kind: 'identity';
  readonly protocolVersion: number;
  /** Up to 16 characters `A-Z a-z 0-9 _ -`, unique to the board; calibrations are tied to it. */
  readonly boardId: string;
  readonly firmwareVersion: string;
  /** One sensor type name per channel, e.g. `MPX4115A`, or `unknown`. Its length is the channel count, 1-8. */
  readonly sensorTypes: readonly string[];
  readonly sampleRateHz: number;
  /** Ticks per second of the board clock that stamps the sample lines. */
  readonly clockRateHz: number;
  /** Ticks from the conversion of one channel to that of the next, within one sample line. 0 = simultaneous. */
  readonly conversionTicks: number;
  /** The raw count that stands for the sensor's supply voltage (ratiometric full scale), e.g. 1023. */
  readonly fullScaleCounts: number;
}

/** One raw count per channel, taken in channel order from `timeTicks` on. */
export interface SampleLine {
  readonly kind: 'sample';
  readonly sequence: number;
  readonly timeTicks: number;
  readonly counts: readonly number[];
}

/** The board's own barometer and thermometer. `null` where the board has none. */
export interface AmbientLine {
  readonly kind: 'ambient';
  readonly pressurePa: number | null;
  readonly temperatureCelsius: number | null;
}

/** Something happened on the board that the person should know of. */
export interface NoticeLine {
  readonly kind: 'notice';
  readonly notice: BoardNotice;
  /** How often since power-up. */
  readonly count: number;
}

export const BOARD_NOTICES = ['overflow', 'brown-out', 'watchdog', 'bad-command', 'adc-fault'] as const;
export type BoardNotice = (typeof BOARD_NOTICES)[number];

export type BoardLine = IdentityLine | SampleLine | AmbientLine | NoticeLine;

/** What the computer may say to the board. */
export type BoardCommand =
  | { readonly kind: 'identify' }
  | { readonly kind: 'start' }
  | { readonly kind: 'stop' }
  | { readonly kind: 'rate'; readonly sampleRateHz: number };

/** Each way in which a line from the cable can be bad; each has its own counter. */
export const BAD_LINE_REASONS = [
  'too-long',
  'not-text',
  'no-checksum',
  'wrong-checksum',
  'unknown-kind',
  'wrong-field-count',
  'bad-number',
  'out-of-range',
  'newer-protocol',
  'zero-channels',
  'too-many-channels',
] as const;
export type BadLineReason = (typeof BAD_LINE_REASONS)[number];

/** Bad input is a value: a line, or the reason why it is none. */
export type DecodedLine =
  | { readonly ok: true; readonly line: BoardLine }
  | { readonly ok: false; readonly reason: BadLineReason };
