import { type CalibrationRefusal, refused } from './calibration-refusals.ts';
import type { PressureRecord } from './pressure-record.ts';

/** A channel with a larger share of samples at an end of the converter cannot be calibrated. */
export const MOST_SATURATED_SHARE = 0.02;
/** A channel needs so large a share of the samples. */
export const LEAST_KNOWN_SHARE = 0.5;

/** The first channel of a record that has too few samples to work with, or null. */
export function unusableChannel(record: PressureRecord): CalibrationRefusal | null {
  const rows = record.timeS.length;
  for (let channel = 0; channel < record.absoluteKpa.length; channel++) {
    const column = record.absoluteKpa[channel]!;
    const saturated = record.saturatedShare[channel]!;
    if (saturated > MOST_SATURATED_SHARE)
      return refused('channel-saturated', `${(100 * saturated).toFixed(1)} % of its samples`, channel);
    let known = 0;
    for (let row = 0; row < rows; row++) if (Number.isFinite(column[row]!)) known++;
    if (known === 0 || known < LEAST_KNOWN_SHARE * rows)
      return refused('channel-missing', `${known} of ${rows} samples`, channel);
  }
  return null;
}
