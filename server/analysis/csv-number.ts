/** Numbers in the cells of a CSV, read from its bytes. */

const COMMA = 0x2c;
const POINT = 0x2e;
const MINUS = 0x2d;
const PLUS = 0x2b;
const QUOTE = 0x22;
const SPACE = 0x20;
const ZERO = 0x30;
const NINE = 0x39;
/** Digits that a double holds exactly. */
const SAFE_DIGITS = 15;
const MISSING_WORDS = new Set(['nan', 'null', 'na', '-']);

/**
 * One cell, spaces and quotes round it left aside. Plain decimals are read by hand: an hour of samples has millions.
 *
 * @param from, to the cell's bytes, the last not included
 * @param decimalComma a comma is understood like a point
 * @param mayBeMissing words such as `nan` stand for a missing value
 * @returns the number, NaN for an empty cell or a missing value, or the text that is none
 */
export function csvNumber(
  bytes: Uint8Array,
  from: number,
  to: number,
  decimalComma: boolean,
  mayBeMissing: boolean,
): number | string {
  let at = from;
  let end = to;
  while (at < end && (bytes[at] === SPACE || bytes[at] === QUOTE)) at++;
  while (end > at && (bytes[end - 1] === SPACE || bytes[end - 1] === QUOTE)) end--;
  if (at === end) return Number.NaN;
  const start = at;
  const first = bytes[at]!;
  const negative = first === MINUS;
  if (negative || first === PLUS) at++;
  let mantissa = 0;
  let decimals = 0;
  let digits = 0;
  let point = false;
  for (; at < end; at++) {
    const code = bytes[at]!;
    if (code >= ZERO && code <= NINE) {
      mantissa = mantissa * 10 + (code - ZERO);
      digits++;
      if (point) decimals++;
    } else if (!point && (code === POINT || (code === COMMA && decimalComma))) point = true;
    else break;
  }
  if (at === end && digits > 0 && digits <= SAFE_DIGITS) {
    const value = decimals === 0 ? mantissa : mantissa / 10 ** decimals;
    return negative ? -value : value;
  }
  return oddNumber(new TextDecoder().decode(bytes.subarray(start, end)), decimalComma, mayBeMissing);
}

/** With an exponent or more digits, or a word. */
function oddNumber(text: string, decimalComma: boolean, mayBeMissing: boolean): number | string {
  if (mayBeMissing && MISSING_WORDS.has(text.toLowerCase())) return Number.NaN;
  const plain = decimalComma ? text.replace(',', '.') : text;
  const value = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(plain) ? Number(plain) : Number.NaN;
  return Number.isFinite(value) ? value : text;
}
