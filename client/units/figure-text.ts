import { fromKpa, type PressureUnit } from './pressure-unit.ts';

/** What stands where a figure is not known. */
export const UNKNOWN = '–';
const MINUS = '\u2212';

/** @returns the figure with a real minus sign, or a dash when it is null */
export function figureText(value: number | null, decimals: number): string {
  if (value === null || !Number.isFinite(value)) return UNKNOWN;
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** The same with a plus sign before what is more than nothing. */
export function signedText(value: number | null, decimals: number): string {
  const text = figureText(value, decimals);
  return value !== null && value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

export function pressureText(kpa: number | null, decimals: number, unit: PressureUnit): string {
  return figureText(kpa === null ? null : fromKpa(kpa, unit), decimals);
}

export function signedPressureText(kpa: number | null, decimals: number, unit: PressureUnit): string {
  return signedText(kpa === null ? null : fromKpa(kpa, unit), decimals);
}
