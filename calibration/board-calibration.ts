/** The channels of one board together, with what their errors have in common. Plain JSON. */
import type { ChannelCalibration } from './channel-calibration.ts';
import { type ErrorLineCovariance, errorBandPrior } from './error-line.ts';
import type { SensorType } from './sensor-type.ts';
import type { Matrix } from './solve-linear.ts';

export interface BoardCalibration {
  readonly boardId: string;
  readonly channels: readonly ChannelCalibration[];
  /**
   * Covariance of the channels' error lines: gain 1, offset 1, gain 2, offset 2 … Its 2 x 2 blocks on the diagonal
   * are the channels' own; those beside it hold what cancels in a difference.
   */
  readonly covariance: Matrix;
}

/**
 * A board of which nothing is known but its data sheets.
 *
 * @param types one per channel
 * @param ambientKpa air pressure, from which the range of gauge sensors is counted
 * @param serials of the sensors, null where not known
 */
export function uncalibratedBoard(
  boardId: string,
  types: readonly SensorType[],
  ambientKpa: number,
  serials: readonly (string | null)[] = [],
): BoardCalibration {
  const size = 2 * types.length;
  const covariance = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  types.forEach((type, channel) => {
    const block = blockOf(dataSheetPrior(type, ambientKpa));
    for (const row of [0, 1])
      for (const column of [0, 1])
        covariance[2 * channel + row]![2 * channel + column] = block[row]![column]!;
  });
  const channels = types.map((type, channel) => ({
    boardId,
    channel,
    sensorType: type.name,
    sensorSerial: serials[channel] ?? null,
    gain: 1,
    offsetKpa: 0,
    residualSdKpa: null,
    curvatureSdKpa: 0,
    kinds: [],
    calibratedAtMs: null,
    technician: null,
    temperatureCelsius: null,
    expiresAtMs: null,
  }));
  return boardOf(boardId, channels, covariance);
}

/** Channels that take their own covariance from the board's. */
export function boardOf(
  boardId: string,
  channels: readonly Omit<ChannelCalibration, 'covariance'>[],
  covariance: Matrix,
): BoardCalibration {
  return {
    boardId,
    covariance,
    channels: channels.map((channel, index) => ({
      ...channel,
      covariance: {
        gain: covariance[2 * index]![2 * index]!,
        offset: covariance[2 * index + 1]![2 * index + 1]!,
        gainOffset: covariance[2 * index]![2 * index + 1]!,
      },
    })),
  };
}

/** Whether a channel's absolute pressure rests on more than its data sheet. */
export function hasAbsoluteReference({ kinds }: Pick<ChannelCalibration, 'kinds'>): boolean {
  return kinds.includes('zero') || kinds.includes('span');
}

/** The error line that the data sheet allows, between 0 and 85 °C. */
export function dataSheetPrior(type: SensorType, ambientKpa: number): ErrorLineCovariance {
  const from = type.measures === 'gauge' ? ambientKpa : 0;
  return errorBandPrior(type.errorBandKpa, from + type.lowestKpa, from + type.highestKpa);
}

/** As a 2 x 2 matrix, gain first. */
export function blockOf({ gain, offset, gainOffset }: ErrorLineCovariance): number[][] {
  return [
    [gain, gainOffset],
    [gainOffset, offset],
  ];
}
