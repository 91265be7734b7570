import { CRC_START, crc16Hex, crc16Step } from './crc16.ts';
import { MAX_LINE_BYTES } from './line-limits.ts';
import type { BadLineReason } from './lines.ts';

/**
 * Checks what every line and command has in common: length, characters and checksum.
 *
 * @param text one line, with or without its line ending (LF, CR LF or, left over by a splitter, CR)
 * @returns the index of the `*`, that is, the length of the body, or the reason why there is none
 */
export function checkFrame(text: string): number | BadLineReason {
  if (text.length > MAX_LINE_BYTES) return 'too-long';
  let end = text.length;
  if (end > 0 && text.charCodeAt(end - 1) === LINE_FEED) end--;
  if (end > 0 && text.charCodeAt(end - 1) === CARRIAGE_RETURN) end--;

  const star = end - CHECKSUM_LENGTH;
  let crc = CRC_START;
  let stars = 0;
  for (let at = 0; at < end; at++) {
    const code = text.charCodeAt(at);
    if (code < FIRST_PRINTABLE || code > LAST_PRINTABLE) return 'not-text';
    if (at < star) crc = crc16Step(crc, code);
    if (code === STAR) stars++;
  }
  // A second star is what remains when a line ending was lost and two lines arrived as one.
  if (star < 1 || text.charCodeAt(star) !== STAR || stars !== 1) return 'no-checksum';

  let sent = 0;
  for (let at = star + 1; at < end; at++) {
    const digit = hexDigit(text.charCodeAt(at));
    if (digit < 0) return 'no-checksum';
    sent = (sent << 4) | digit;
  }
  return sent === crc ? star : 'wrong-checksum';
}

/** The body with its checksum and line ending. @throws RangeError when it would be longer than a line may be */
export function frameBody(body: string): string {
  const text = `${body}*${crc16Hex(body)}\n`;
  if (text.length > MAX_LINE_BYTES) throw new RangeError(`A line of ${text.length} bytes is too long`);
  return text;
}

/** `*` and four hexadecimal digits. */
const CHECKSUM_LENGTH = 5;
const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;
const FIRST_PRINTABLE = 0x20;
const LAST_PRINTABLE = 0x7e;
const STAR = 0x2a;

// Lower case is refused: otherwise one flipped bit in a checksum digit would go unnoticed.
function hexDigit(code: number): number {
  if (code >= 0x30 && code <= 0x39) return code - 0x30;
  if (code >= 0x41 && code <= 0x46) return code - 0x37;
  return -1;
}
