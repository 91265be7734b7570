/** Money as whole smallest units of its currency, and as text; never a floating-point number. */

/** Digits after the point of a currency: 2 for EUR, 0 for JPY, 3 for KWD (ISO 4217, as the platform knows it). */
export function minorDigits(currency: string): number {
  try {
    const { maximumFractionDigits } = new Intl.NumberFormat('en', {
      style: 'currency',
      currency,
    }).resolvedOptions();
    return maximumFractionDigits ?? 2;
  } catch {
    // What is typed may be none.
    return 2;
  }
}

/** Every digit with a point: 1250 in EUR is '12.50'. */
export function minorText(minor: number, currency: string): string {
  const digits = minorDigits(currency);
  const sign = minor < 0 ? '-' : '';
  const text = String(Math.abs(minor)).padStart(digits + 1, '0');
  return digits === 0 ? sign + text : `${sign}${text.slice(0, -digits)}.${text.slice(-digits)}`;
}

/** Every digit with the currency's sign, in the manner of the locale. */
export function moneyText(minor: number, currency: string, locale: string): string {
  const exact = minorText(minor, currency);
  try {
    return new Intl.NumberFormat(locale, { style: 'currency', currency }).format(
      exact as Intl.StringNumericLiteral,
    );
  } catch {
    return `${exact} ${currency}`;
  }
}
