import { decodeIdentity } from './decode-identity.ts';
import { readSigned, readWhole } from './field.ts';
import { checkFrame } from './line-frame.ts';
import {
  MAX_AMBIENT_CELSIUS,
  MAX_AMBIENT_PA,
  MAX_COUNT,
  MAX_NOTICE_COUNT,
  MIN_AMBIENT_CELSIUS,
  MIN_AMBIENT_PA,
  TEMPERATURE_STEPS_PER_CELSIUS,
} from './line-limits.ts';
import type { BadLineReason, BoardNotice, DecodedLine } from './lines.ts';
import { BOARD_NOTICES, MAX_CHANNELS, SEQUENCE_MODULUS, TIME_MODULUS_TICKS } from './lines.ts';

/**
 * One line from the board as a value, or the reason why it is none. Never throws.
 *
 * @param text one line, with or without its line ending
 * @example decodeLine('S,7,28000,2731,2745*DBB3').ok === true
 */
export function decodeLine(text: string): DecodedLine {
  const end = checkFrame(text);
  if (typeof end !== 'number') return bad(end);
  if (end > 1 && text.charCodeAt(1) !== COMMA) return bad('unknown-kind');
  switch (text.charAt(0)) {
    case 'S':
      return decodeSample(text, end);
    case 'I':
      return decodeIdentity(text.slice(2, end).split(','));
    case 'A':
      return decodeAmbient(text.slice(2, end).split(','));
    case 'N':
      return decodeNotice(text.slice(2, end).split(','));
    default:
      return bad('unknown-kind');
  }
}

const COMMA = 0x2c;
const DIGIT_0 = 0x30;

function bad(reason: BadLineReason): DecodedLine {
  return { ok: false, reason };
}

/** Digits are taken one by one, without intermediate strings: this runs up to a thousand times a second. */
function decodeSample(text: string, end: number): DecodedLine {
  const counts: number[] = [];
  let sequence = 0;
  let timeTicks = 0;
  let fields = 0;
  let value = 0;
  let digits = 0;
  for (let at = 2; at <= end; at++) {
    const code = at === end ? COMMA : text.charCodeAt(at);
    if (code !== COMMA) {
      const digit = code - DIGIT_0;
      const afterLeadingZero = digits > 0 && value === 0;
      if (digit < 0 || digit > 9 || afterLeadingZero) return bad('bad-number');
      value = value * 10 + digit;
      digits++;
      continue;
    }
    if (digits === 0) return bad('bad-number');
    if (fields === 0) {
      if (value >= SEQUENCE_MODULUS) return bad('out-of-range');
      sequence = value;
    } else if (fields === 1) {
      if (value >= TIME_MODULUS_TICKS) return bad('out-of-range');
      timeTicks = value;
    } else {
      if (value > MAX_COUNT) return bad('out-of-range');
      if (counts.length === MAX_CHANNELS) return bad('too-many-channels');
      counts.push(value);
    }
    fields++;
    value = 0;
    digits = 0;
  }
  if (fields < 2) return bad('wrong-field-count');
  if (counts.length === 0) return bad('zero-channels');
  return { ok: true, line: { kind: 'sample', sequence, timeTicks, counts } };
}

function decodeAmbient(fields: readonly string[]): DecodedLine {
  if (fields.length !== 2) return bad('wrong-field-count');
  const [pressureField, temperatureField] = fields as [string, string];
  const pressurePa = pressureField === '' ? null : readWhole(pressureField);
  if (pressurePa === null && pressureField !== '') return bad('bad-number');
  const steps = temperatureField === '' ? null : readSigned(temperatureField);
  if (steps === null && temperatureField !== '') return bad('bad-number');
  const temperatureCelsius = steps === null ? null : steps / TEMPERATURE_STEPS_PER_CELSIUS;
  if (pressurePa !== null && (pressurePa < MIN_AMBIENT_PA || pressurePa > MAX_AMBIENT_PA)) {
    return bad('out-of-range');
  }
  if (
    temperatureCelsius !== null &&
    (temperatureCelsius < MIN_AMBIENT_CELSIUS || temperatureCelsius > MAX_AMBIENT_CELSIUS)
  ) {
    return bad('out-of-range');
  }
  return { ok: true, line: { kind: 'ambient', pressurePa, temperatureCelsius } };
}

function decodeNotice(fields: readonly string[]): DecodedLine {
  if (fields.length !== 2) return bad('wrong-field-count');
  const [word, countField] = fields as [string, string];
  const notice = BOARD_NOTICES.find((known) => known === word) satisfies BoardNotice | undefined;
  if (notice === undefined) return bad('unknown-kind');
  const count = readWhole(countField);
  if (count === null) return bad('bad-number');
  if (count < 1 || count > MAX_NOTICE_COUNT) return bad('out-of-range');
  return { ok: true, line: { kind: 'notice', notice, count } };
}
