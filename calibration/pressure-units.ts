/**
 * Pressure units that the trade reads in, and how many decimals of them an uncertainty is worth.
 *
 * Factors: NIST SP 811 (2008), appendix B.8, unrounded. Mercury is conventional, 13 595.1 kg/m³ at the standard
 * acceleration of free fall 9.80665 m/s²; the pound is 0.45359237 kg and the inch 0.0254 m, both by definition.
 */
export const PRESSURE_UNITS = ['kPa', 'inHg', 'cmHg', 'mmHg', 'mbar', 'psi'] as const;
export type PressureUnit = (typeof PRESSURE_UNITS)[number];

/** Kilopascals in one of each unit. */
export const KPA_PER_UNIT: Readonly<Record<PressureUnit, number>> = {
  kPa: 1,
  /** 13595.1 x 9.80665 x 0.0254 / 1000; printed as 3.386389. */
  inHg: 3.386388640341,
  /** 13595.1 x 9.80665 x 0.01 / 1000; printed as 1.333224. */
  cmHg: 1.33322387415,
  /** 13595.1 x 9.80665 x 0.001 / 1000; printed as 0.1333224. */
  mmHg: 0.133322387415,
  mbar: 0.1,
  /** 0.45359237 x 9.80665 / 0.0254² / 1000; printed as 6.894757. */
  psi: 6.894757293168361,
};

/** @example toKpa(20, 'mmHg') // 2.6664477483 */
export function toKpa(value: number, unit: PressureUnit): number {
  return value * KPA_PER_UNIT[unit];
}

/** @example fromKpa(101.325, 'inHg') // 29.92125… */
export function fromKpa(kpa: number, unit: PressureUnit): number {
  return kpa / KPA_PER_UNIT[unit];
}

/** More decimals than this are never shown, however sure the figure. */
export const MOST_DECIMALS = 4;

/**
 * Decimals to show of a pressure and of its uncertainty. The uncertainty gets one significant digit, or two
 * where the first is 1 or 2 and rounding would change it by more than a sixth: never more than the two that
 * JCGM 100:2008 7.2.6 allows. The figure gets the same decimals.
 *
 * @param expandedUncertaintyKpa greater than 0
 * @param unit of the display
 * @returns 0…MOST_DECIMALS
 * @throws RangeError for an uncertainty that is not a positive number: the reading is not known, show none
 * @example decimalsFor(0.15, 'kPa') // 2: 0.15; decimalsFor(0.4, 'kPa') // 1; decimalsFor(0.4, 'mmHg') // 0: 3.0 is 3
 */
export function decimalsFor(expandedUncertaintyKpa: number, unit: PressureUnit): number {
  if (!(expandedUncertaintyKpa > 0 && Number.isFinite(expandedUncertaintyKpa)))
    throw new RangeError(`An uncertainty is greater than 0, not ${expandedUncertaintyKpa}`);
  return decimalsOf(fromKpa(expandedUncertaintyKpa, unit));
}

/** By the same rule, for a figure of any unit. @param expanded in that unit, greater than 0 */
export function decimalsOf(expanded: number): number {
  // Rounded to two digits first: 0.0996 is shown as 0.10.
  const [digits, exponent] = expanded.toExponential(1).split('e');
  const significant = Number(digits) < TWO_DIGITS_BELOW ? 2 : 1;
  return Math.min(MOST_DECIMALS, Math.max(0, significant - 1 - Number(exponent)));
}

const TWO_DIGITS_BELOW = 3;
