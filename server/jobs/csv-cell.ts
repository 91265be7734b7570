/**
 * One cell of RFC 4180 text. Text that a spreadsheet would take for a formula gets an apostrophe in front, as the
 * spreadsheets' own mark for text (OWASP, 'CSV Injection').
 */
export function csvCell(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const text = /^[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(text) || text !== text.trim() ? `"${text.replaceAll('"', '""')}"` : text;
}

/** A line with its end. */
export const csvLine = (values: readonly (string | number | null)[]): string =>
  `${values.map(csvCell).join(',')}\r\n`;
