import { absoluteKpa, type ChannelScale, countState } from './counts-to-kpa.ts';

/** A stretch of samples taken to calibrate on: key-off, or all hoses on one source. */
export interface PressureRecord {
  /** Time of each row [s], growing. */
  readonly timeS: ArrayLike<number>;
  /** One column per channel of absolute pressure with the correction in force [kPa]; NaN where there is none. */
  readonly absoluteKpa: readonly ArrayLike<number>[];
  /** Pressure of one count of each channel [kPa]. */
  readonly resolutionKpa: readonly number[];
  /** Share of each channel's samples that stood at an end of the converter, 0…1. */
  readonly saturatedShare: readonly number[];
}

/**
 * @param counts one column per channel, as long as `timeS`; a negative count marks a missing one
 * @param scales of each channel, with the correction in force
 * @param ambientKpa absolute pressure around gauge sensors
 * @throws RangeError when the shapes differ
 */
export function pressureRecord(
  timeS: ArrayLike<number>,
  counts: readonly ArrayLike<number>[],
  scales: readonly ChannelScale[],
  ambientKpa: number,
): PressureRecord {
  if (counts.length !== scales.length || counts.some((column) => column.length !== timeS.length))
    throw new RangeError('A record needs a scale for every channel and a count for every time');
  const saturatedShare: number[] = [];
  const columns = counts.map((column, channel) => {
    const scale = scales[channel]!;
    const kpa = new Float64Array(column.length);
    let saturated = 0;
    for (let row = 0; row < column.length; row++) {
      const state = countState(scale, column[row]!);
      const atEnd = state === 'at-zero' || state === 'at-full-scale';
      if (atEnd) saturated++;
      kpa[row] = atEnd || state === 'missing' ? Number.NaN : absoluteKpa(scale, column[row]!, ambientKpa);
    }
    saturatedShare.push(column.length === 0 ? 0 : saturated / column.length);
    return kpa;
  });
  return {
    timeS,
    absoluteKpa: columns,
    resolutionKpa: scales.map((s) => Math.abs(s.kpaPerCount)),
    saturatedShare,
  };
}
