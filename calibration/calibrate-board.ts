/** What a zero, a matching and a span make of a board's calibration. */
import {
  type BoardCalibration,
  blockOf,
  boardOf,
  dataSheetPrior,
  hasAbsoluteReference,
} from './board-calibration.ts';
import type { CalibrationKind, ChannelCalibration } from './channel-calibration.ts';
import type { Matching } from './matching.ts';
import type { SensorType } from './sensor-type.ts';
import { sandwich } from './solve-linear.ts';
import type { SpanFit } from './span.ts';
import type { Zeroing } from './zero.ts';

/** When, by whom, at what temperature a calibration was made and how long it is to last. */
export interface CalibrationStamp {
  readonly atMs: number;
  readonly technician: string | null;
  readonly temperatureCelsius: number | null;
  readonly expiresAtMs: number | null;
}

/**
 * Gains stay; every zeroed channel reads the barometric pressure. Away from it the error grows with that of the gain.
 *
 * @param zeroed 0-based channels of the record's columns; all when left out
 */
export function withZero(
  board: BoardCalibration,
  zeroing: Zeroing,
  stamp: CalibrationStamp,
  zeroed: readonly number[] = allChannels(board),
): BoardCalibration {
  expectChannels(board, zeroed, zeroing.shiftKpa.length);
  const air = zeroing.barometric.kpa;
  // The error line of a zeroed channel: error of the zero + gain (p - barometric).
  const keep = identity(board);
  for (const channel of zeroed) {
    keep[2 * channel + 1]![2 * channel + 1] = 0;
    keep[2 * channel + 1]![2 * channel] = -air;
  }
  const covariance = sandwich(keep, board.covariance);
  zeroed.forEach((i, at) => {
    for (const j of zeroed) {
      const own = i === j ? zeroing.ownUncertaintyKpa[at]! ** 2 : 0;
      covariance[2 * i + 1]![2 * j + 1]! += own + zeroing.barometric.standardUncertaintyKpa ** 2;
    }
  });
  return boardOf(
    board.boardId,
    board.channels.map((channel) => {
      const at = zeroed.indexOf(channel.channel);
      if (at < 0) return channel;
      return stamped({ ...channel, offsetKpa: channel.offsetKpa + zeroing.shiftKpa[at]! }, 'zero', stamp);
    }),
    covariance,
  );
}

/**
 * The matched channels on one scale: that of their mean as it was, so that an earlier zero or span lives on. Where
 * there was none their mean is no surer than one sensor, because sensors of one batch may share their error.
 *
 * @param types of all channels of the board
 * @param ambientKpa as for `uncalibratedBoard`
 * @param matched 0-based channels of the record's columns; all when left out
 */
export function withMatching(
  board: BoardCalibration,
  matching: Matching,
  types: readonly SensorType[],
  ambientKpa: number,
  stamp: CalibrationStamp,
  matched: readonly number[] = allChannels(board),
): BoardCalibration {
  expectChannels(board, matched, matching.gain.length);
  const referenced = matched.every((channel) => hasAbsoluteReference(board.channels[channel]!));
  // Every matched channel takes over the error of their mean; the matching's own comes on top.
  const toMean = identity(board);
  for (const i of matched) {
    for (const part of [0, 1]) {
      toMean[2 * i + part]![2 * i + part] = 0;
      if (referenced) for (const j of matched) toMean[2 * i + part]![2 * j + part] = 1 / matched.length;
    }
  }
  const covariance = sandwich(toMean, board.covariance);
  const widest = matched
    .map((channel) => types[channel]!)
    .reduce((a, b) => (b.errorBandKpa > a.errorBandKpa ? b : a));
  const common = blockOf(dataSheetPrior(widest, ambientKpa));
  matched.forEach((i, at) => {
    matched.forEach((j, to) => {
      for (const row of [0, 1]) {
        for (const column of [0, 1]) {
          covariance[2 * i + row]![2 * j + column]! +=
            matching.covariance[2 * at + row]![2 * to + column]! + (referenced ? 0 : common[row]![column]!);
        }
      }
    });
  });
  return boardOf(
    board.boardId,
    board.channels.map((channel) => {
      const at = matched.indexOf(channel.channel);
      if (at < 0) return channel;
      const next = {
        ...channel,
        gain: matching.gain[at]! * channel.gain,
        offsetKpa: matching.gain[at]! * channel.offsetKpa + matching.offsetKpa[at]!,
        residualSdKpa: matching.residualSdKpa[at]!,
        curvatureSdKpa: matching.curvatureSdKpa,
      };
      return stamped(next, 'matching', stamp);
    }),
    covariance,
  );
}

/**
 * All channels moved to the scale of the gauge that was compared with the mean of those on the source; what they
 * differ by among themselves stays as it was.
 *
 * @param onSource 0-based channels whose mean the gauge was compared with; all when left out
 */
export function withSpan(
  board: BoardCalibration,
  span: SpanFit,
  stamp: CalibrationStamp,
  onSource: readonly number[] = allChannels(board),
): BoardCalibration {
  expectChannels(board, onSource, onSource.length);
  const againstMean = identity(board).map((row, at) =>
    row.map((value, to) => {
      const shares = at % 2 === to % 2 && onSource.includes(to >> 1);
      return span.gain * (value - (shares ? 1 / onSource.length : 0));
    }),
  );
  const common = blockOf(span.covariance);
  const covariance = sandwich(againstMean, board.covariance).map((row, at) =>
    row.map((value, to) => value + common[at % 2]![to % 2]!),
  );
  return boardOf(
    board.boardId,
    board.channels.map((channel) => {
      const next = {
        ...channel,
        gain: span.gain * channel.gain,
        offsetKpa: span.gain * channel.offsetKpa + span.offsetKpa,
      };
      return stamped(next, 'span', stamp);
    }),
    covariance,
  );
}

function allChannels(board: BoardCalibration): number[] {
  return board.channels.map((_, channel) => channel);
}

function identity(board: BoardCalibration): number[][] {
  const size = board.covariance.length;
  return Array.from({ length: size }, (_, row) =>
    Array.from({ length: size }, (_, column) => (row === column ? 1 : 0)),
  );
}

function stamped(
  channel: ChannelCalibration,
  kind: CalibrationKind,
  stamp: CalibrationStamp,
): ChannelCalibration {
  return {
    ...channel,
    kinds: channel.kinds.includes(kind) ? channel.kinds : [...channel.kinds, kind],
    calibratedAtMs: stamp.atMs,
    technician: stamp.technician,
    temperatureCelsius: stamp.temperatureCelsius,
    expiresAtMs: stamp.expiresAtMs,
  };
}

function expectChannels(board: BoardCalibration, channels: readonly number[], columns: number): void {
  const known = channels.every((channel) => Number.isInteger(channel) && board.channels[channel]);
  if (channels.length === 0 || channels.length !== columns || !known || new Set(channels).size !== columns)
    throw new RangeError(
      `The calibration of ${columns} channels does not fit channels [${channels.join(', ')}] of the board`,
    );
}
