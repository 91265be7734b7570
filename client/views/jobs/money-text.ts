/** Prices as typed and shown: whole smallest units of the currency, never a floating-point number. */

/** Digits after the point of a currency (ISO 4217, as the platform knows it). */
export function minorDigits(currency: string): number {
  try {
    const { maximumFractionDigits } = new Intl.NumberFormat('en', {
      style: 'currency',
      currency,
    }).resolvedOptions();
    return maximumFractionDigits ?? 2;
  } catch {
    return 2;
  }
}

/** '12.5' in EUR is 1250; null for what is no amount or has more digits than the currency. */
export function minorOf(text: string, currency: string): number | null {
  const match = /^(\d{1,10})(?:[.,](\d*))?$/.exec(text.trim());
  if (match === null) return null;
  const digits = minorDigits(currency);
  const fraction = match[2] ?? '';
  if (fraction.length > digits) return null;
  return Number(`${match[1]}${fraction.padEnd(digits, '0')}`);
}

/** As it is typed: 1250 in EUR is '12.50'. */
export function typedMoney(minor: number, currency: string): string {
  const digits = minorDigits(currency);
  const text = String(minor).padStart(digits + 1, '0');
  return digits === 0 ? text : `${text.slice(0, -digits)}.${text.slice(-digits)}`;
}

/** With the currency's sign, in the manner of the locale. */
export function moneyWords(minor: number, currency: string, locale: string): string {
  const exact = `${minor < 0 ? '-' : ''}${typedMoney(Math.abs(minor), currency)}`;
  try {
    return new Intl.NumberFormat(locale, { style: 'currency', currency }).format(
      exact as Intl.StringNumericLiteral,
    );
  } catch {
    return `${exact} ${currency}`;
  }
}
