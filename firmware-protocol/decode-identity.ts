import { isName, isVersionName, isWholeWithin, readWhole } from './field.ts';
import {
  MAX_CLOCK_RATE_HZ,
  MAX_CONVERSION_TICKS,
  MAX_COUNT,
  MAX_SAMPLE_RATE_HZ,
  MIN_CLOCK_RATE_HZ,
  MIN_SAMPLE_RATE_HZ,
} from './line-limits.ts';
import type { BadLineReason, DecodedLine, IdentityLine } from './lines.ts';
import { MAX_CHANNELS, PROTOCOL_VERSION } from './lines.ts';

/**
 * The fields of an identity line, without its letter: version, board id, firmware version, sample rate,
 * clock rate, conversion ticks, full scale, channel count, one sensor type per channel.
 *
 * The version is looked at before all else, so that a board of a later version is told from a broken one
 * whatever its other fields are.
 */
export function decodeIdentity(fields: readonly string[]): DecodedLine {
  const protocolVersion = readWhole(fields[0] ?? '');
  if (protocolVersion === null) return bad(fields[0] === '' ? 'wrong-field-count' : 'bad-number');
  if (protocolVersion > PROTOCOL_VERSION) return bad('newer-protocol');
  if (fields.length < FIXED_FIELDS) return bad('wrong-field-count');

  const [, boardId, firmwareVersion] = fields as [string, string, string];
  const numbers: number[] = [];
  for (const field of fields.slice(FIRST_NUMBER, FIXED_FIELDS)) {
    const number = readWhole(field);
    if (number === null) return bad('bad-number');
    numbers.push(number);
  }
  const [sampleRateHz, clockRateHz, conversionTicks, fullScaleCounts, channels] = numbers as FiveNumbers;
  if (channels === 0) return bad('zero-channels');
  if (channels > MAX_CHANNELS) return bad('too-many-channels');
  if (fields.length !== FIXED_FIELDS + channels) return bad('wrong-field-count');

  const line: IdentityLine = {
    kind: 'identity',
    protocolVersion,
    boardId,
    firmwareVersion,
    sensorTypes: fields.slice(FIXED_FIELDS),
    sampleRateHz,
    clockRateHz,
    conversionTicks,
    fullScaleCounts,
  };
  return identityWithinLimits(line) ? { ok: true, line } : bad('out-of-range');
}

/** Whether every field of an identity can travel in version 1; the encoder asks the same. */
export function identityWithinLimits(line: IdentityLine): boolean {
  return (
    line.protocolVersion === PROTOCOL_VERSION &&
    isName(line.boardId) &&
    isVersionName(line.firmwareVersion) &&
    isWholeWithin(line.sensorTypes.length, 1, MAX_CHANNELS) &&
    line.sensorTypes.every(isName) &&
    isWholeWithin(line.sampleRateHz, MIN_SAMPLE_RATE_HZ, MAX_SAMPLE_RATE_HZ) &&
    isWholeWithin(line.clockRateHz, MIN_CLOCK_RATE_HZ, MAX_CLOCK_RATE_HZ) &&
    isWholeWithin(line.conversionTicks, 0, MAX_CONVERSION_TICKS) &&
    isWholeWithin(line.fullScaleCounts, 1, MAX_COUNT)
  );
}

type FiveNumbers = [number, number, number, number, number];

const FIRST_NUMBER = 3;
const FIXED_FIELDS = 8;

function bad(reason: BadLineReason): DecodedLine {
  return { ok: false, reason };
}
