/**
 * CRC-16/IBM-3740 (polynomial 0x1021, initial value 0xFFFF, most significant bit first, nothing inverted) of
 * the characters `from` up to but without `to`. Every character must be ASCII; of any other only the low
 * eight bits take part. Parameters: Rocksoft model as listed in the CRC catalogue,
 * https://reveng.sourceforge.io/crc-catalogue/16.htm#crc.cat.crc-16-ibm-3740
 *
 * @returns 0…65535
 * @example crc16('123456789') === 0x29b1
 */
export function crc16(text: string, from = 0, to = text.length): number {
  let crc = CRC_START;
  for (let at = from; at < to; at++) crc = crc16Step(crc, text.charCodeAt(at));
  return crc;
}

/** The value before the first character. */
export const CRC_START = 0xffff;

/** The CRC one character further on; lets a caller check and read a line in a single pass. */
export function crc16Step(crc: number, code: number): number {
  return ((crc << 8) & 0xffff) ^ TABLE[((crc >>> 8) ^ code) & 0xff]!;
}

/** Four upper-case hexadecimal digits, as they stand at the end of a line. */
export function crc16Hex(text: string): string {
  return crc16(text).toString(16).toUpperCase().padStart(4, '0');
}

const POLYNOMIAL = 0x1021;

const TABLE = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte << 8;
  for (let bit = 0; bit < 8; bit++) crc = crc & 0x8000 ? (crc << 1) ^ POLYNOMIAL : crc << 1;
  return crc & 0xffff;
});
