import { type BoardCalibration, boardOf, uncalibratedBoard } from '../../../calibration/board-calibration.ts';
import type { Correction } from '../../../calibration/counts-to-kpa.ts';
import type { SensorType } from '../../../calibration/sensor-type.ts';

/** A board as a zero and a matching leave it: all channels share an error of 0.3 kPa, and have 0.02 kPa of their own. */
export function calibratedBoard(
  boardId: string,
  types: readonly SensorType[],
  corrections: readonly Correction[] = types.map(() => ({ gain: 1, offsetKpa: 0 })),
): BoardCalibration {
  const plain = uncalibratedBoard(boardId, types, 101.325);
  const covariance = plain.covariance.map((row, at) =>
    row.map((_, to) => (at % 2 === 1 && to % 2 === 1 ? 0.3 ** 2 + (at === to ? 0.02 ** 2 : 0) : 0)),
  );
  const channels = plain.channels.map((channel, at) => ({
    ...channel,
    ...corrections[at]!,
    kinds: ['zero', 'matching'] as const,
    calibratedAtMs: 1_700_000_000_000,
    temperatureCelsius: 20,
  }));
  return boardOf(boardId, channels, covariance);
}
