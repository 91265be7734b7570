/**
 * Lengths of valve clearances and distances of odometers.
 *
 * The inch is 25.4 mm and the mile 1.609344 km by definition (NIST SP 811, appendix B.8); a thou is 0.001 inch.
 */
export const CLEARANCE_UNITS = ['mm', 'thou'] as const;
export type ClearanceUnit = (typeof CLEARANCE_UNITS)[number];
export const DISTANCE_UNITS = ['km', 'mi'] as const;
export type DistanceUnit = (typeof DISTANCE_UNITS)[number];

export const MM_PER_UNIT: Readonly<Record<ClearanceUnit, number>> = { mm: 1, thou: 0.0254 };
export const KM_PER_UNIT: Readonly<Record<DistanceUnit, number>> = { km: 1, mi: 1.609344 };

/** A figure in the unit that it was written in, or that the manual prints it in. */
export interface WrittenClearance {
  readonly value: number;
  readonly unit: ClearanceUnit;
}
export interface WrittenDistance {
  readonly value: number;
  readonly unit: DistanceUnit;
}

/**
 * Printed pairs such as 0.10 mm (0.004 in) are rounded each on its own, so the unit that the manual used is kept
 * and only a view in the other one is converted.
 *
 * @example clearanceIn({ value: 5, unit: 'thou' }, 'mm') // 0.127
 */
export function clearanceIn(written: WrittenClearance, unit: ClearanceUnit): number {
  return written.unit === unit
    ? written.value
    : (written.value * MM_PER_UNIT[written.unit]) / MM_PER_UNIT[unit];
}

/** @example distanceIn({ value: 30000, unit: 'mi' }, 'km') // 48280.32 */
export function distanceIn(written: WrittenDistance, unit: DistanceUnit): number {
  return written.unit === unit
    ? written.value
    : (written.value * KM_PER_UNIT[written.unit]) / KM_PER_UNIT[unit];
}
