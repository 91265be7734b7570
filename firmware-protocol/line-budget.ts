import { MAX_COUNT } from './line-limits.ts';
import { MAX_CHANNELS, MIN_CHANNELS, SEQUENCE_MODULUS, TIME_MODULUS_TICKS } from './lines.ts';

/** Start bit, eight data bits, stop bit. */
export const BITS_PER_BYTE_ON_LINE = 10;

/** Share of the line that samples may fill; the rest carries identity lines, notices and clock tolerance. */
export const MAX_LINE_SHARE = 0.9;

/**
 * Longest sample line [bytes], line ending LF included, for sequence numbers and clock values of any size.
 *
 * @param channels 1-8
 * @param highestCount the largest count that a channel can show, e.g. 1023
 * @throws RangeError outside the limits of the protocol
 */
export function worstSampleLineBytes(channels: number, highestCount: number): number {
  if (!Number.isInteger(channels) || channels < MIN_CHANNELS || channels > MAX_CHANNELS) {
    throw new RangeError(`A line carries ${MIN_CHANNELS} to ${MAX_CHANNELS} channels, not ${channels}`);
  }
  if (!Number.isInteger(highestCount) || highestCount < 0 || highestCount > MAX_COUNT) {
    throw new RangeError(`A count is a whole number up to ${MAX_COUNT}, not ${highestCount}`);
  }
  const sequence = decimalDigits(SEQUENCE_MODULUS - 1);
  const time = decimalDigits(TIME_MODULUS_TICKS - 1);
  const count = decimalDigits(highestCount);
  return 'S,'.length + sequence + ','.length + time + channels * (','.length + count) + '*FFFF\n'.length;
}

/**
 * Sample lines per second that a line of this speed carries at worst, and how many of them may be used.
 *
 * @param baud bits per second on the line
 * @returns `full`: nothing else fits on the line; `usable`: whole number with `MAX_LINE_SHARE` kept
 */
export function linesPerSecond(
  channels: number,
  highestCount: number,
  baud: number,
): { readonly full: number; readonly usable: number } {
  if (!(baud > 0)) throw new RangeError(`A line speed of ${baud} baud is none`);
  const full = baud / BITS_PER_BYTE_ON_LINE / worstSampleLineBytes(channels, highestCount);
  return { full, usable: Math.floor(full * MAX_LINE_SHARE) };
}

function decimalDigits(value: number): number {
  return String(value).length;
}
