/** From a raw count to absolute pressure: one multiplication and one addition per sample. */
import type { SensorType } from './sensor-type.ts';

/** Takes out a channel's own error: corrected = gain x nominal + offset. */
export interface Correction {
  readonly gain: number;
  readonly offsetKpa: number;
}

/** Everything about a channel that a sample needs, computed once. */
export interface ChannelScale {
  readonly kpaPerCount: number;
  readonly offsetKpa: number;
  /** What the pressure around the sensor counts for: 0 for a sensor that measures absolute pressure. */
  readonly ambientGain: number;
  readonly fullScaleCounts: number;
  /** Counts at the ends of the sensor's specified range, lower one first; not whole, may lie outside of 0…full scale. */
  readonly lowestCount: number;
  readonly highestCount: number;
}

/** Why a count stands for no pressure, or `ok`. */
export type CountState = 'ok' | 'missing' | 'at-zero' | 'at-full-scale' | 'below-range' | 'above-range';

export const NO_CORRECTION: Correction = { gain: 1, offsetKpa: 0 };

/**
 * @param fullScaleCounts count that stands for the supply of the sensor; for a digital one the largest it can send
 * @param correction the channel's calibration, or none for the nominal pressure
 * @throws RangeError for a full scale or a correction that cannot be
 * @example absoluteKpa(channelScale(MPX4115A, 1023), 512, 101.3) // 66.166
 */
export function channelScale(
  type: SensorType,
  fullScaleCounts: number,
  correction: Correction = NO_CORRECTION,
): ChannelScale {
  const { gain, offsetKpa } = correction;
  if (!(fullScaleCounts > 0 && Number.isFinite(fullScaleCounts)))
    throw new RangeError(`A full scale is greater than 0, not ${fullScaleCounts}`);
  if (!(gain > 0 && Number.isFinite(gain) && Number.isFinite(offsetKpa)))
    throw new RangeError(`A correction has a gain above 0 and an offset, not ${gain} and ${offsetKpa}`);
  const { transfer } = type;
  const kpaPerCount =
    transfer.kind === 'ratiometric' ? 1 / (transfer.perKpa * fullScaleCounts) : transfer.kpaPerCount;
  const kpaAtZero = transfer.kind === 'ratiometric' ? -transfer.zero / transfer.perKpa : transfer.kpaAtZero;
  const ends = [type.lowestKpa, type.highestKpa].map((kpa) => (kpa - kpaAtZero) / kpaPerCount);
  return {
    kpaPerCount: gain * kpaPerCount,
    offsetKpa: gain * kpaAtZero + offsetKpa,
    ambientGain: type.measures === 'gauge' ? gain : 0,
    fullScaleCounts,
    lowestCount: Math.min(...ends),
    highestCount: Math.max(...ends),
  };
}

/**
 * @param ambientKpa absolute pressure around the sensor; only a sensor that measures from it looks at it
 * @returns absolute pressure [kPa], also beyond the sensor's range: `countState` tells
 */
export function absoluteKpa(scale: ChannelScale, count: number, ambientKpa: number): number {
  const kpa = scale.offsetKpa + scale.kpaPerCount * count;
  return scale.ambientGain === 0 ? kpa : kpa + scale.ambientGain * ambientKpa;
}

/** Whether a count can be believed. A negative one marks a missing sample. */
export function countState(scale: ChannelScale, count: number): CountState {
  if (!(count >= 0)) return 'missing';
  if (count === 0) return 'at-zero';
  if (count >= scale.fullScaleCounts) return 'at-full-scale';
  const rising = scale.kpaPerCount > 0;
  if (count < scale.lowestCount) return rising ? 'below-range' : 'above-range';
  if (count > scale.highestCount) return rising ? 'above-range' : 'below-range';
  return 'ok';
}

/** Absolute pressures between which the channel can be believed [kPa]. */
export function measurableRangeKpa(
  scale: ChannelScale,
  ambientKpa: number,
): { readonly lowestKpa: number; readonly highestKpa: number } {
  const ends = [Math.max(0, scale.lowestCount), Math.min(scale.fullScaleCounts, scale.highestCount)].map(
    (count) => absoluteKpa(scale, count, ambientKpa),
  );
  return { lowestKpa: Math.min(...ends), highestKpa: Math.max(...ends) };
}
