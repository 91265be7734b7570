import type { SensorType } from './sensor-type.ts';

/** One point of a sensor's straight transfer function. */
export interface TransferPoint {
  /** Output as a share of the supply, 0…1: volts out / supply volts. */
  readonly supplyShare: number;
  readonly kpa: number;
}

export interface OwnSensor {
  readonly name: string;
  readonly measures: 'absolute' | 'gauge';
  readonly low: TransferPoint;
  readonly high: TransferPoint;
  /** Half-width of the error band over the range [kPa], greater than 0. */
  readonly errorBandKpa: number;
}

export type OwnSensorRefusal = 'bad-name' | 'bad-points' | 'points-too-close' | 'bad-error-band';

/** What each refusal says to the person, and what to do about it. */
export const OWN_SENSOR_REFUSALS: Readonly<
  Record<OwnSensorRefusal, { readonly message: string; readonly whatToDo: string }>
> = {
  'bad-name': {
    message: 'The name of the sensor cannot be used.',
    whatToDo: 'Use up to 16 letters, digits, - or _.',
  },
  'bad-points': {
    message: 'The two points of the sensor cannot be right.',
    whatToDo: 'Give the output as a share of the supply between 0 and 1, and the pressure in kPa.',
  },
  'points-too-close': {
    message: 'The two points of the sensor are too close together.',
    whatToDo: 'Take the two ends of the range from the data sheet.',
  },
  'bad-error-band': {
    message: 'The error band of the sensor is missing.',
    whatToDo: 'Take the largest error in kPa from the data sheet.',
  },
};

const NAME = /^[A-Za-z0-9_-]{1,16}$/;
const LEAST_SHARE_APART = 0.1;
const LEAST_KPA_APART = 10;
const LARGEST_KPA = 1000;

/**
 * A linear sensor that is not in the list, from two points of its data sheet.
 *
 * @example ownSensorType({ name: 'BAR1', measures: 'absolute', low: { supplyShare: 0.1, kpa: 20 },
 *   high: { supplyShare: 0.9, kpa: 105 }, errorBandKpa: 1 })
 */
export function ownSensorType(
  sensor: OwnSensor,
):
  | { readonly ok: true; readonly type: SensorType }
  | { readonly ok: false; readonly reason: OwnSensorRefusal } {
  const { name, low, high, errorBandKpa } = sensor;
  if (!NAME.test(name)) return { ok: false, reason: 'bad-name' };
  for (const { supplyShare, kpa } of [low, high])
    if (!(supplyShare >= 0 && supplyShare <= 1 && Math.abs(kpa) <= LARGEST_KPA))
      return { ok: false, reason: 'bad-points' };
  const shares = high.supplyShare - low.supplyShare;
  const kpa = high.kpa - low.kpa;
  if (Math.abs(shares) < LEAST_SHARE_APART || Math.abs(kpa) < LEAST_KPA_APART)
    return { ok: false, reason: 'points-too-close' };
  if (!(errorBandKpa > 0 && errorBandKpa <= LARGEST_KPA)) return { ok: false, reason: 'bad-error-band' };
  const perKpa = shares / kpa;
  return {
    ok: true,
    type: {
      name,
      sameAs: [],
      measures: sensor.measures,
      transfer: { kind: 'ratiometric', perKpa, zero: low.supplyShare - perKpa * low.kpa },
      lowestKpa: Math.min(low.kpa, high.kpa),
      highestKpa: Math.max(low.kpa, high.kpa),
      errorBandKpa,
      temperatureMultiplier: [[25, 1]],
      source: 'entered by hand',
      fromMemory: [],
    },
  };
}
