/**
 * Pressure units a mechanic thinks in. Everything arrives in kPa and is converted here, on its way to the screen.
 * Factors: NIST SP 811 appendix B.8, conventional mercury of 13 595.1 kg/m³ at g = 9.80665 m/s²; the pound-force
 * per square inch from 0.45359237 kg, 9.80665 m/s² and 0.0254 m.
 */

export type PressureUnitId = 'kPa' | 'inHg' | 'cmHg' | 'mmHg' | 'mbar' | 'psi';

export interface PressureUnit {
  readonly id: PressureUnitId;
  /** Kilopascals in one of the unit. */
  readonly kpaPerUnit: number;
  /** As it is said aloud, in the plural. */
  readonly spoken: string;
  /** More decimals than this say nothing about a manifold pressure. */
  readonly maxDecimals: number;
}

export const PRESSURE_UNITS: readonly PressureUnit[] = [
  { id: 'kPa', kpaPerUnit: 1, spoken: 'kilopascals', maxDecimals: 2 },
  { id: 'inHg', kpaPerUnit: 3.386388640341, spoken: 'inches of mercury', maxDecimals: 2 },
  { id: 'cmHg', kpaPerUnit: 1.33322387415, spoken: 'centimetres of mercury', maxDecimals: 2 },
  { id: 'mmHg', kpaPerUnit: 0.133322387415, spoken: 'millimetres of mercury', maxDecimals: 1 },
  { id: 'mbar', kpaPerUnit: 0.1, spoken: 'millibars', maxDecimals: 1 },
  { id: 'psi', kpaPerUnit: 6.894757293168361, spoken: 'pounds per square inch', maxDecimals: 3 },
];

/** @returns the unit of that name, or kPa for a name that is none */
export function pressureUnit(id: string | null): PressureUnit {
  return PRESSURE_UNITS.find((unit) => unit.id === id) ?? PRESSURE_UNITS[0]!;
}

export function fromKpa(kpa: number, unit: PressureUnit): number {
  return kpa / unit.kpaPerUnit;
}

export function toKpa(value: number, unit: PressureUnit): number {
  return value * unit.kpaPerUnit;
}
