/** Figures as text, with a real minus sign and none before nothing. */

/** What stands where a figure is not known. */
export const UNKNOWN = '–';
const MINUS = '\u2212';

/**
 * @returns the figure with a minus sign where it is less than 0 as it is shown, or a dash when it is null
 * @example figureText(-0.004, 2) // '0.00'
 */
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
