/** How sure a corrected reading is by the calibration alone, and how sure a difference between two channels. */
import { type BoardCalibration, hasAbsoluteReference } from './board-calibration.ts';
import { type SensorType, temperatureMultiplierAt } from './sensor-type.ts';
import { bilinear } from './solve-linear.ts';
import { rectangular } from './uncertainty.ts';

/**
 * Error that a change of temperature brings, as a share of the error band per kelvin: the data sheets give one
 * band for all of 0 to 85 °C, which is taken to be the worst that this change can do. Our own assumption.
 */
export const BAND_SHARE_PER_K = 1 / 85;
/** Assumed when the temperature now or at the calibration is not known [K]. */
export const ASSUMED_TEMPERATURE_CHANGE_K = 5;
const ROOM_CELSIUS = 25;

export interface ReadingConditions {
  /** Sensor types of the channels. */
  readonly types: readonly SensorType[];
  /** Temperature of the sensors now, or null when not known. */
  readonly temperatureCelsius: number | null;
}

/**
 * Standard uncertainty of one channel's absolute pressure [kPa].
 *
 * Uncalibrated: the error band as a rectangular distribution (JCGM 100:2008, 4.3.7). Matched alone: not better than
 * that, for a matching knows nothing of the absolute scale. Otherwise gain and offset with their covariance (5.2.2),
 * the curvature that showed, and the change of temperature since.
 *
 * @param channel 0-based
 * @param absoluteKpa corrected pressure
 */
export function readingUncertainty(
  board: BoardCalibration,
  channel: number,
  absoluteKpa: number,
  conditions: ReadingConditions,
): number {
  const weights = board.channels.map((_, index) => (index === channel ? 1 : 0));
  const pressures = board.channels.map(() => absoluteKpa);
  const u = Math.sqrt(weightedVariance(board, weights, pressures, conditions));
  if (hasAbsoluteReference(board.channels[channel]!)) return u;
  return Math.max(u, dataSheetUncertainty(conditions, channel));
}

/**
 * Standard uncertainty of one channel's pressure less another's, or less the mean of all [kPa]. What their errors have
 * in common cancels, so it is smaller than that of a single reading.
 *
 * @param channel 0-based
 * @param reference 0-based channel, or the mean of the channels in use
 * @param absoluteKpa corrected pressure of each channel in use, from channel 0 on
 */
export function differenceUncertainty(
  board: BoardCalibration,
  channel: number,
  reference: number | 'mean',
  absoluteKpa: readonly number[],
  conditions: ReadingConditions,
): number {
  const used = absoluteKpa.length;
  if (used > board.channels.length) throw new RangeError(`The board has no ${used} channels`);
  const weights = board.channels.map((_, index) => {
    const own = index === channel ? 1 : 0;
    if (reference === 'mean') return index < used ? own - 1 / used : own;
    return own - (index === reference ? 1 : 0);
  });
  const pressures = board.channels.map((_, index) => absoluteKpa[index] ?? 0);
  return Math.sqrt(weightedVariance(board, weights, pressures, conditions));
}

/** Variance of Σ weight x corrected pressure. */
function weightedVariance(
  board: BoardCalibration,
  weights: readonly number[],
  pressuresKpa: readonly number[],
  conditions: ReadingConditions,
): number {
  const sensitivities: number[] = [];
  let own = 0;
  board.channels.forEach((calibration, index) => {
    const weight = weights[index]!;
    const uncalibrated = calibration.kinds.length === 0;
    const lineWeight = uncalibrated ? 0 : weight;
    sensitivities.push(lineWeight * pressuresKpa[index]!, lineWeight);
    if (weight === 0) return;
    const perChannel = uncalibrated
      ? dataSheetUncertainty(conditions, index)
      : Math.hypot(
          calibration.curvatureSdKpa,
          temperatureUncertainty(conditions, index, calibration.temperatureCelsius),
        );
    own += (weight * perChannel) ** 2;
  });
  return Math.max(0, bilinear(sensitivities, board.covariance, sensitivities)) + own;
}

function dataSheetUncertainty({ types, temperatureCelsius }: ReadingConditions, channel: number): number {
  const type = types[channel]!;
  return rectangular(type.errorBandKpa * temperatureMultiplierAt(type, temperatureCelsius ?? ROOM_CELSIUS));
}

function temperatureUncertainty(
  { types, temperatureCelsius }: ReadingConditions,
  channel: number,
  calibratedCelsius: number | null,
): number {
  const type = types[channel]!;
  if (temperatureCelsius === null || calibratedCelsius === null)
    return rectangular(type.errorBandKpa * BAND_SHARE_PER_K * ASSUMED_TEMPERATURE_CHANGE_K);
  const change = Math.abs(temperatureCelsius - calibratedCelsius);
  const beyond = Math.max(
    0,
    temperatureMultiplierAt(type, temperatureCelsius) - temperatureMultiplierAt(type, calibratedCelsius),
  );
  return rectangular(type.errorBandKpa * (Math.min(1, BAND_SHARE_PER_K * change) + beyond));
}
