import { readFileSync } from 'node:fs';

/** A compiled image of the reference firmware and what its build says about it. */
export interface FirmwareImage {
  /** Program memory as 16-bit words, filled up with 0xFFFF as an erased chip is. */
  readonly program: Uint16Array;
  readonly flashBytes: number;
  readonly ramBytes: number;
  /** Data addresses of the board clock (32 bits) and of the sequence number (16 bits). */
  readonly clockTicksAddress: number;
  readonly sequenceAddress: number;
}

export const BOARD_FOLDER = new URL('../../../firmware-protocol/board/', import.meta.url);

export type ImageName = 'board-4.hex' | 'board-8-multiplexed.hex';

/** An image as committed beside its sources. @throws when it is missing or damaged */
export function loadFirmwareImage(name: ImageName): FirmwareImage {
  const { images } = readImagesDescription();
  const described = images.find((image) => image.file === name);
  if (described === undefined) throw new Error(`images.json does not describe ${name}`);
  return { ...described, program: parseIntelHex(readFileSync(new URL(name, BOARD_FOLDER), 'utf8')) };
}

export interface ImagesDescription {
  readonly compiler: string;
  readonly sourcesSha256: string;
  readonly images: readonly (Omit<FirmwareImage, 'program'> & { readonly file: string })[];
}

export function readImagesDescription(folder: URL = BOARD_FOLDER): ImagesDescription {
  return JSON.parse(readFileSync(new URL('images.json', folder), 'utf8')) as ImagesDescription;
}

/** Bytes of an Intel HEX text laid out from address 0; the rest is 0xFF. @throws on a wrong checksum */
export function parseIntelHexBytes(text: string, size: number): Uint8Array {
  const bytes = new Uint8Array(size).fill(0xff);
  for (const line of text.trim().split(/\r?\n/)) {
    const record = Uint8Array.from(line.slice(1).match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
    const sum = record.reduce((total, byte) => total + byte, 0) & 0xff;
    if (!line.startsWith(':') || sum !== 0 || record.length !== record[0]! + 5) {
      throw new Error(`Damaged Intel HEX line: ${line}`);
    }
    const isData = record[3] === 0;
    if (isData) bytes.set(record.subarray(4, -1), (record[1]! << 8) | record[2]!);
  }
  return bytes;
}

const FLASH_BYTES = 32_768;

function parseIntelHex(text: string): Uint16Array {
  return new Uint16Array(parseIntelHexBytes(text, FLASH_BYTES).buffer);
}
