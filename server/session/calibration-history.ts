import { driftBetween } from '../../calibration/calibration-age.ts';
import { errorLineUncertaintyKpa } from '../../calibration/error-line.ts';
import { COVERAGE_FACTOR } from '../../calibration/uncertainty.ts';
import type { CalibrationHistory, PastCalibration } from '../contract/calibration.ts';
import type { CalibrationStore, StoredCalibration } from '../jobs/calibration-store.ts';
import { USUAL_IDLE_KPA } from './channel-scales.ts';

/** What was calibrated on a board, newest first, each against the one before it. */
export function calibrationHistory(
  store: CalibrationStore,
  boardId: string | null,
  inForceId: string | null,
): CalibrationHistory {
  const stored = boardId === null ? [] : store.ofBoard(boardId);
  return {
    boards: store.boards(),
    boardId,
    calibrations: stored.map((calibration, at) =>
      pastCalibration(calibration, stored[at + 1] ?? null, calibration.id === inForceId),
    ),
  };
}

function pastCalibration(
  calibration: StoredCalibration,
  before: StoredCalibration | null,
  inForce: boolean,
): PastCalibration {
  const { id, kind, madeAtMs, technician, expiresAtMs, practice, board } = calibration;
  return {
    id,
    boardId: board.boardId,
    kind,
    madeAtMs,
    technician,
    expiresAtMs,
    practice,
    inForce,
    channels: board.channels.map((channel) => ({
      channel: channel.channel + 1,
      sensorType: channel.sensorType,
      serial: channel.sensorSerial,
      gain: channel.gain,
      offsetKpa: channel.offsetKpa,
      correctionKpa: (channel.gain - 1) * USUAL_IDLE_KPA + channel.offsetKpa,
      correctionExpandedKpa: COVERAGE_FACTOR * errorLineUncertaintyKpa(channel.covariance, USUAL_IDLE_KPA),
    })),
    drift: before === null ? [] : driftOf(before, calibration),
  };
}

function driftOf(older: StoredCalibration, newer: StoredCalibration): PastCalibration['drift'] {
  return newer.board.channels.flatMap((channel, at) => {
    const before = older.board.channels[at];
    if (before === undefined || before.sensorType !== channel.sensorType || before.kinds.length === 0)
      return [];
    const { changeKpa, changeExpandedKpa, significant, perYearKpa } = driftBetween(
      before,
      channel,
      USUAL_IDLE_KPA,
    );
    return [{ channel: at + 1, changeKpa, expandedKpa: changeExpandedKpa, significant, perYearKpa }];
  });
}
