import { identityWithinLimits } from './decode-identity.ts';
import { isWholeWithin } from './field.ts';
import { frameBody } from './line-frame.ts';
import {
  MAX_AMBIENT_CELSIUS,
  MAX_AMBIENT_PA,
  MAX_COUNT,
  MAX_NOTICE_COUNT,
  MIN_AMBIENT_CELSIUS,
  MIN_AMBIENT_PA,
  TEMPERATURE_STEPS_PER_CELSIUS,
} from './line-limits.ts';
import type { AmbientLine, BoardLine, IdentityLine, NoticeLine, SampleLine } from './lines.ts';
import { BOARD_NOTICES, MAX_CHANNELS, MIN_CHANNELS, SEQUENCE_MODULUS, TIME_MODULUS_TICKS } from './lines.ts';

/**
 * The text of a line with its checksum and line ending. Pressure is rounded to 1 Pa and temperature to
 * 0.01 °C; all else arrives as it left.
 *
 * @throws RangeError when a field is outside the limits of PROTOCOL.md
 */
export function encodeLine(line: BoardLine): string {
  switch (line.kind) {
    case 'identity':
      return frameBody(identityBody(line));
    case 'sample':
      return frameBody(sampleBody(line));
    case 'ambient':
      return frameBody(ambientBody(line));
    case 'notice':
      return frameBody(noticeBody(line));
  }
}

function identityBody(line: IdentityLine): string {
  if (!identityWithinLimits(line)) throw outside(line);
  return [
    'I',
    line.protocolVersion,
    line.boardId,
    line.firmwareVersion,
    line.sampleRateHz,
    line.clockRateHz,
    line.conversionTicks,
    line.fullScaleCounts,
    line.sensorTypes.length,
    ...line.sensorTypes,
  ].join(',');
}

function sampleBody(line: SampleLine): string {
  const within =
    isWholeWithin(line.sequence, 0, SEQUENCE_MODULUS - 1) &&
    isWholeWithin(line.timeTicks, 0, TIME_MODULUS_TICKS - 1) &&
    isWholeWithin(line.counts.length, MIN_CHANNELS, MAX_CHANNELS) &&
    line.counts.every((count) => isWholeWithin(count, 0, MAX_COUNT));
  if (!within) throw outside(line);
  return `S,${line.sequence},${line.timeTicks},${line.counts.join(',')}`;
}

function ambientBody(line: AmbientLine): string {
  const pressure = line.pressurePa === null ? '' : Math.round(line.pressurePa);
  const temperature =
    line.temperatureCelsius === null
      ? ''
      : Math.round(line.temperatureCelsius * TEMPERATURE_STEPS_PER_CELSIUS);
  const within =
    (pressure === '' || isWholeWithin(pressure, MIN_AMBIENT_PA, MAX_AMBIENT_PA)) &&
    (temperature === '' ||
      isWholeWithin(
        temperature,
        MIN_AMBIENT_CELSIUS * TEMPERATURE_STEPS_PER_CELSIUS,
        MAX_AMBIENT_CELSIUS * TEMPERATURE_STEPS_PER_CELSIUS,
      ));
  if (!within) throw outside(line);
  return `A,${pressure},${temperature}`;
}

function noticeBody(line: NoticeLine): string {
  const within = BOARD_NOTICES.includes(line.notice) && isWholeWithin(line.count, 1, MAX_NOTICE_COUNT);
  if (!within) throw outside(line);
  return `N,${line.notice},${line.count}`;
}

function outside(line: BoardLine): RangeError {
  return new RangeError(
    `This ${line.kind} line is outside the limits of the protocol: ${JSON.stringify(line)}`,
  );
}
