/** The record of one channel's calibration: what was found, on what, when and by whom. Plain JSON. */
import type { ErrorLineCovariance } from './error-line.ts';

export const CALIBRATION_KINDS = ['zero', 'matching', 'span'] as const;
export type CalibrationKind = (typeof CALIBRATION_KINDS)[number];

export interface ChannelCalibration {
  readonly boardId: string;
  /** 0-based. */
  readonly channel: number;
  readonly sensorType: string;
  readonly sensorSerial: string | null;
  /** corrected = gain x nominal + offset [kPa absolute]. */
  readonly gain: number;
  readonly offsetKpa: number;
  /** Of the error line that is left in the corrected pressure. */
  readonly covariance: ErrorLineCovariance;
  /** Standard deviation of the steps about the channel's line [kPa]; null where none was fitted. */
  readonly residualSdKpa: number | null;
  /** Departure of the sensors from straight lines that showed, laid on every reading [kPa]. */
  readonly curvatureSdKpa: number;
  /** What the figures rest on; empty for the data sheet alone. */
  readonly kinds: readonly CalibrationKind[];
  /** When last calibrated [ms since 1970]; null for the data sheet alone. */
  readonly calibratedAtMs: number | null;
  readonly technician: string | null;
  /** Temperature of the sensors then, or null. */
  readonly temperatureCelsius: number | null;
  /** From then on it should be done again [ms since 1970]; null for never. */
  readonly expiresAtMs: number | null;
}

export type NotApplicable = 'other-board' | 'other-channel' | 'other-sensor-type';

/** What each reason says to the person, and what to do about it. */
export const NOT_APPLICABLE: Readonly<
  Record<NotApplicable, { readonly message: string; readonly whatToDo: string }>
> = {
  'other-board': {
    message: 'The calibration belongs to another board.',
    whatToDo: 'Connect that board, or calibrate this one.',
  },
  'other-channel': {
    message: 'The calibration belongs to another channel of the board.',
    whatToDo: 'Calibrate this channel.',
  },
  'other-sensor-type': {
    message: 'The calibration was made with a sensor of another type.',
    whatToDo: 'Calibrate the channel again after the change of its sensor.',
  },
};

/** Whether a calibration may be used for a channel: only on the very board, channel and type it was made on. */
export function applies(
  calibration: Pick<ChannelCalibration, 'boardId' | 'channel' | 'sensorType'>,
  boardId: string,
  channel: number,
  sensorType: string,
): { readonly ok: true } | { readonly ok: false; readonly reason: NotApplicable } {
  if (calibration.boardId !== boardId) return { ok: false, reason: 'other-board' };
  if (calibration.channel !== channel) return { ok: false, reason: 'other-channel' };
  if (calibration.sensorType !== sensorType) return { ok: false, reason: 'other-sensor-type' };
  return { ok: true };
}
