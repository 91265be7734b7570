import { type BoardCalibration, uncalibratedBoard } from '../../calibration/board-calibration.ts';
import { CalibrationDesk } from './calibration-desk.ts';
import type { KnownCalibration } from './calibration-standing.ts';

/**
 * The desk at which a board is calibrated, from what is known of its sensors.
 *
 * @param barometricKpa air pressure that gauge sensors count from
 * @returns null while the type of a sensor is not known
 */
export function newCalibrationDesk(
  { identity, sensors, stored }: KnownCalibration,
  practice: boolean,
  barometricKpa: number,
): CalibrationDesk | null {
  const types = sensors.map(({ type }) => type).filter((type) => type !== null);
  if (types.length < sensors.length) return null;
  const serials = sensors.map(({ serial }) => serial);
  return new CalibrationDesk({
    boardId: identity.boardId,
    practice,
    types,
    fullScaleCounts: identity.fullScaleCounts,
    clockRateHz: identity.clockRateHz,
    before:
      stored === null
        ? uncalibratedBoard(identity.boardId, types, barometricKpa, serials)
        : withSerials(stored.board, serials),
  });
}

/** Serial numbers that were written down since. */
function withSerials(board: BoardCalibration, serials: readonly (string | null)[]): BoardCalibration {
  const channels = board.channels.map((channel, at) => ({
    ...channel,
    sensorSerial: serials[at] ?? channel.sensorSerial,
  }));
  return { ...board, channels };
}
