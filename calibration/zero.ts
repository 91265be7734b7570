/** Zero: with the engine off and the hoses open, every channel reads the barometric pressure. */
import { type Block, blockMeans } from './block-means.ts';
import { type CalibrationRefusal, refused } from './calibration-refusals.ts';
import type { PressureRecord } from './pressure-record.ts';
import { unusableChannel } from './record-checks.ts';
import { noiseOfSeries } from './robust-scatter.ts';
import type { SensorType } from './sensor-type.ts';
import type { BarometricPressure } from './standard-atmosphere.ts';
import { steadyMean } from './steady-mean.ts';

export const LEAST_ZERO_S = 2;
export const FEWEST_ZERO_ROWS = 50;
/** The pressure may wander by so much beyond what noise explains [kPa]. */
export const STILL_WITHIN_KPA = 0.3;
/** Means over a tenth of a second that differ by more are no noise but pulses of an engine [kPa]. */
export const STILL_AT_MOST_KPA = 3;
/** Standard deviation of single samples beyond which a sensor is too noisy [kPa]. */
export const MOST_ZERO_NOISE_KPA = 1;
/** A sensor may be so many error bands from the barometric pressure before its type or hose is in doubt. */
export const MOST_BANDS_OFF = 3;
export const LOWEST_BAROMETRIC_KPA = 50;
export const HIGHEST_BAROMETRIC_KPA = 115;
const NOISE_RANGE = 6;

export interface Zeroing {
  readonly ok: true;
  readonly barometric: BarometricPressure;
  /** To be added to each channel's reading: barometric less its mean [kPa]. */
  readonly shiftKpa: readonly number[];
  /** Standard uncertainty of that mean: noise and counts, the channel's own [kPa]. */
  readonly ownUncertaintyKpa: readonly number[];
  /** Standard uncertainty of the shift, the barometric pressure's included; that part is common to all [kPa]. */
  readonly shiftUncertaintyKpa: readonly number[];
}

/**
 * @param record of still air in the hoses, two seconds or longer, with the correction in force applied
 * @param barometric pressure of the place and its standard uncertainty
 * @param types of the sensors, one per column of the record
 */
export function zeroChannels(
  record: PressureRecord,
  barometric: BarometricPressure,
  types: readonly SensorType[],
): Zeroing | CalibrationRefusal {
  if (types.length !== record.absoluteKpa.length)
    throw new RangeError(`${record.absoluteKpa.length} channels need as many sensor types`);
  const air = barometric.kpa;
  if (!(air >= LOWEST_BAROMETRIC_KPA && air <= HIGHEST_BAROMETRIC_KPA))
    return refused('barometric-implausible', `${air} kPa`);
  const rows = record.timeS.length;
  const lengthS = rows === 0 ? 0 : record.timeS[rows - 1]! - record.timeS[0]!;
  if (rows < FEWEST_ZERO_ROWS || lengthS < LEAST_ZERO_S)
    return refused('zero-too-short', `${rows} samples in ${lengthS.toFixed(1)} s`);
  const unusable = unusableChannel(record);
  if (unusable !== null) return unusable;
  const blocks = blockMeans(record.timeS, record.absoluteKpa);
  const shiftKpa: number[] = [];
  const ownUncertaintyKpa: number[] = [];
  for (let channel = 0; channel < types.length; channel++) {
    const moving = movement(blocks, channel);
    if (moving !== null) return moving;
    const mean = steadyMean(record.absoluteKpa[channel]!, record.resolutionKpa[channel]!)!;
    if (mean.sdKpa > MOST_ZERO_NOISE_KPA)
      return refused('zero-noisy', `${mean.sdKpa.toFixed(2)} kPa`, channel);
    const off = mean.meanKpa - air;
    const allowed =
      MOST_BANDS_OFF * Math.hypot(types[channel]!.errorBandKpa, barometric.standardUncertaintyKpa);
    if (Math.abs(off) > allowed)
      return refused('zero-implausible', `${off.toFixed(1)} kPa off, ${allowed.toFixed(1)} allowed`, channel);
    shiftKpa.push(air - mean.meanKpa);
    ownUncertaintyKpa.push(mean.standardUncertaintyKpa);
  }
  return {
    ok: true,
    barometric,
    shiftKpa,
    ownUncertaintyKpa,
    shiftUncertaintyKpa: ownUncertaintyKpa.map((own) => Math.hypot(own, barometric.standardUncertaintyKpa)),
  };
}

function movement(blocks: readonly Block[], channel: number): CalibrationRefusal | null {
  const means = blocks.map(({ channelKpa }) => channelKpa[channel]!).filter(Number.isFinite);
  const range = Math.max(...means) - Math.min(...means);
  const allowed = Math.min(STILL_AT_MOST_KPA, STILL_WITHIN_KPA + NOISE_RANGE * noiseOfSeries(means));
  return range > allowed
    ? refused('zero-moving', `${range.toFixed(2)} kPa, ${allowed.toFixed(2)} allowed`, channel)
    : null;
}
