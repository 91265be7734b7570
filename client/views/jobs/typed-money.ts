import { minorDigits } from '../../../server/contract/minor-units.ts';

/** A typed price: '12.5' in EUR is 1250; null for what is no amount or has more digits than the currency. */
export function minorOf(text: string, currency: string): number | null {
  const match = /^(\d{1,10})(?:[.,](\d*))?$/.exec(text.trim());
  if (match === null) return null;
  const digits = minorDigits(currency);
  const fraction = match[2] ?? '';
  if (fraction.length > digits) return null;
  return Number(`${match[1]}${fraction.padEnd(digits, '0')}`);
}
