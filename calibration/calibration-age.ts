/** Age of a calibration and what changed between two of them. */
import type { ChannelCalibration } from './channel-calibration.ts';
import { errorLineUncertaintyKpa } from './error-line.ts';
import { COVERAGE_FACTOR } from './uncertainty.ts';

const DAY_MS = 86_400_000;
/** The reminder comes so long before the end. */
export const REMIND_BEFORE_DAYS = 14;

export type Validity =
  | { readonly state: 'never-calibrated' }
  | { readonly state: 'valid'; readonly daysLeft: number | null }
  | { readonly state: 'due-soon'; readonly daysLeft: number }
  | { readonly state: 'expired'; readonly daysOver: number };

/** @param nowMs wall clock [ms since 1970] */
export function validityAt(calibration: ChannelCalibration, nowMs: number): Validity {
  if (calibration.kinds.length === 0) return { state: 'never-calibrated' };
  if (calibration.expiresAtMs === null) return { state: 'valid', daysLeft: null };
  const days = (calibration.expiresAtMs - nowMs) / DAY_MS;
  if (days <= 0)
    return { state: 'expired', daysOver: Math.floor((nowMs - calibration.expiresAtMs) / DAY_MS) };
  const daysLeft = Math.floor(days);
  return days <= REMIND_BEFORE_DAYS ? { state: 'due-soon', daysLeft } : { state: 'valid', daysLeft };
}

export interface CalibrationDrift {
  /** Corrected reading by the newer less that by the older, for the same raw count [kPa]. */
  readonly changeKpa: number;
  /** Expanded uncertainty of the change, the two taken as independent (k = 2) [kPa]. */
  readonly changeExpandedKpa: number;
  /** Whether the change is more than the two calibrations' uncertainties explain. */
  readonly significant: boolean;
  /** Change per year [kPa]; null when less than a day lies between. */
  readonly perYearKpa: number | null;
}

/**
 * What a sensor drifted between two calibrations of the same channel, at a pressure of interest.
 *
 * @param atKpa pressure by the older calibration [kPa absolute], e.g. 40 for an idling engine
 * @throws RangeError for calibrations of different channels
 */
export function driftBetween(
  older: ChannelCalibration,
  newer: ChannelCalibration,
  atKpa: number,
): CalibrationDrift {
  if (older.boardId !== newer.boardId || older.channel !== newer.channel)
    throw new RangeError('Only calibrations of the same channel of one board can be compared');
  const nominal = (atKpa - older.offsetKpa) / older.gain;
  const changeKpa = newer.gain * nominal + newer.offsetKpa - atKpa;
  const changeExpandedKpa =
    COVERAGE_FACTOR *
    Math.hypot(
      errorLineUncertaintyKpa(older.covariance, atKpa),
      errorLineUncertaintyKpa(newer.covariance, atKpa),
    );
  const betweenMs =
    older.calibratedAtMs === null || newer.calibratedAtMs === null
      ? 0
      : newer.calibratedAtMs - older.calibratedAtMs;
  return {
    changeKpa,
    changeExpandedKpa,
    significant: Math.abs(changeKpa) > changeExpandedKpa,
    perYearKpa: betweenMs < DAY_MS ? null : (changeKpa * 365.25 * DAY_MS) / betweenMs,
  };
}
