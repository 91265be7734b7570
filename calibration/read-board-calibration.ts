import { type BoardCalibration, boardOf } from './board-calibration.ts';
import { CALIBRATION_KINDS, type CalibrationKind, type ChannelCalibration } from './channel-calibration.ts';

/** Corrections beyond these are damage, not calibration. */
export const LOWEST_STORED_GAIN = 0.5;
export const HIGHEST_STORED_GAIN = 2;
export const LARGEST_STORED_OFFSET_KPA = 100;
const MOST_CHANNELS = 8;
const LONGEST_TEXT = 200;
/** Symmetry and the like hold to this share of the entries. */
const CLOSE = 1e-6;

/**
 * A board's calibration from JSON of unknown origin, checked in every field, so that a damaged file is refused and
 * never half used.
 *
 * @returns the calibration, or the first thing that is wrong, for the log
 */
export function readBoardCalibration(
  value: unknown,
): { readonly ok: true; readonly board: BoardCalibration } | { readonly ok: false; readonly reason: string } {
  try {
    return { ok: true, board: boardFrom(object(value, 'calibration')) };
  } catch (error) {
    if (error instanceof NotCalibration) return { ok: false, reason: error.message };
    throw error;
  }
}

class NotCalibration extends Error {}

type Fields = Readonly<Record<string, unknown>>;

function boardFrom(fields: Fields): BoardCalibration {
  const boardId = text(fields.boardId, 'boardId');
  const list = array(fields.channels, 'channels');
  if (list.length < 1 || list.length > MOST_CHANNELS) throw new NotCalibration('channels: 1 to 8');
  const channels = list.map((entry, index) =>
    channelFrom(object(entry, `channels[${index}]`), index, boardId),
  );
  return boardOf(boardId, channels, covarianceFrom(fields.covariance, 2 * channels.length));
}

function channelFrom(fields: Fields, index: number, boardId: string): Omit<ChannelCalibration, 'covariance'> {
  const at = (name: string): string => `channels[${index}].${name}`;
  if (fields.boardId !== boardId) throw new NotCalibration(`${at('boardId')}: not the board's`);
  if (fields.channel !== index) throw new NotCalibration(`${at('channel')}: not its place`);
  const optionalNumber = (name: string): number | null =>
    fields[name] === null ? null : number(fields[name], at(name));
  const optionalText = (name: string): string | null =>
    fields[name] === null ? null : text(fields[name], at(name));
  return {
    boardId,
    channel: index,
    sensorType: text(fields.sensorType, at('sensorType')),
    sensorSerial: optionalText('sensorSerial'),
    gain: number(fields.gain, at('gain'), LOWEST_STORED_GAIN, HIGHEST_STORED_GAIN),
    offsetKpa: number(
      fields.offsetKpa,
      at('offsetKpa'),
      -LARGEST_STORED_OFFSET_KPA,
      LARGEST_STORED_OFFSET_KPA,
    ),
    residualSdKpa:
      fields.residualSdKpa === null ? null : number(fields.residualSdKpa, at('residualSdKpa'), 0),
    curvatureSdKpa: number(fields.curvatureSdKpa, at('curvatureSdKpa'), 0),
    kinds: array(fields.kinds, at('kinds')).map((kind) => kindFrom(kind, at('kinds'))),
    calibratedAtMs: optionalNumber('calibratedAtMs'),
    technician: optionalText('technician'),
    temperatureCelsius: optionalNumber('temperatureCelsius'),
    expiresAtMs: optionalNumber('expiresAtMs'),
  };
}

function covarianceFrom(value: unknown, size: number): number[][] {
  const rows = array(value, 'covariance').map((row) => array(row, 'covariance'));
  if (rows.length !== size || rows.some((row) => row.length !== size))
    throw new NotCalibration(`covariance: not ${size} x ${size}`);
  const matrix = rows.map((row) => row.map((entry) => number(entry, 'covariance')));
  for (let i = 0; i < size; i++) {
    if (matrix[i]![i]! < 0) throw new NotCalibration('covariance: a variance below 0');
    for (let j = 0; j < i; j++) {
      const bound = Math.sqrt(matrix[i]![i]! * matrix[j]![j]!);
      if (Math.abs(matrix[i]![j]! - matrix[j]![i]!) > CLOSE * bound)
        throw new NotCalibration('covariance: not symmetric');
      if (Math.abs(matrix[i]![j]!) > bound * (1 + CLOSE))
        throw new NotCalibration('covariance: a correlation above 1');
    }
  }
  return matrix;
}

function kindFrom(value: unknown, name: string): CalibrationKind {
  const kind = CALIBRATION_KINDS.find((known) => known === value);
  if (kind === undefined) throw new NotCalibration(`${name}: unknown kind`);
  return kind;
}

function object(value: unknown, name: string): Fields {
  if (typeof value !== 'object' || value === null || Array.isArray(value))
    throw new NotCalibration(`${name}: not an object`);
  return value as Fields;
}

function array(value: unknown, name: string): readonly unknown[] {
  if (!Array.isArray(value)) throw new NotCalibration(`${name}: not a list`);
  return value;
}

function text(value: unknown, name: string): string {
  if (typeof value !== 'string' || value.length === 0 || value.length > LONGEST_TEXT)
    throw new NotCalibration(`${name}: not a text of 1 to ${LONGEST_TEXT} characters`);
  return value;
}

function number(value: unknown, name: string, lowest = -Infinity, highest = Infinity): number {
  if (typeof value !== 'number' || !Number.isFinite(value) || value < lowest || value > highest)
    throw new NotCalibration(`${name}: not a number within its bounds`);
  return value;
}
