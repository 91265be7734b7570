import { MAX_NAME_LENGTH } from './line-limits.ts';

/**
 * A whole number without sign, spaces or leading zeros, of at most ten digits.
 *
 * @returns null when the field is not one
 */
export function readWhole(field: string): number | null {
  if (field.length === 0 || field.length > 10) return null;
  if (field.length > 1 && field.charCodeAt(0) === 0x30) return null;
  let value = 0;
  for (let at = 0; at < field.length; at++) {
    const digit = field.charCodeAt(at) - 0x30;
    if (digit < 0 || digit > 9) return null;
    value = value * 10 + digit;
  }
  return value;
}

/** As `readWhole`, with a minus sign allowed before anything but 0. */
export function readSigned(field: string): number | null {
  if (!field.startsWith('-')) return readWhole(field);
  const value = readWhole(field.slice(1));
  return value === null || value === 0 ? null : -value;
}

/** Board id or sensor type: 1-16 characters `A-Z a-z 0-9 _ -`. */
export function isName(text: string): boolean {
  return text.length <= MAX_NAME_LENGTH && /^[A-Za-z0-9_-]+$/.test(text);
}

/** Firmware version: 1-16 characters `A-Z a-z 0-9 _ . -`. */
export function isVersionName(text: string): boolean {
  return text.length <= MAX_NAME_LENGTH && /^[A-Za-z0-9_.-]+$/.test(text);
}

export function isWholeWithin(value: number, low: number, high: number): boolean {
  return Number.isInteger(value) && value >= low && value <= high;
}
