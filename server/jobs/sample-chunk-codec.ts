/**
 * Raw samples as bytes, without loss. The format, version 1, as the database holds it:
 *
 *     byte 0        format version, 1
 *     varint        number of samples n, 1 … MAX_CHUNK_SAMPLES
 *     varint        number of channels c, 0 … MAX_CHUNK_CHANNELS
 *     bits          the time column, then c count columns, most significant bit first, zero-padded to a byte
 *     4 bytes       CRC-32 (ISO-HDLC) of everything before it, least significant byte first
 *
 * A column: its first value as a long number, then the values in blocks of BLOCK_SAMPLES (the last may be
 * shorter). A block: 2 bits for the predictor, 5 bits for k, then one residual per sample. Predictor 0 is
 * the value before, 1 the straight line through the two before, 2 the parabola through the three before
 * (values before the first count as the first). Residuals are zigzag-coded (0, -1, 1, -2 … as 0, 1, 2, 3 …)
 * and Rice-coded with parameter k: u = residual >> k in ones closed by a zero, then k low bits. k = 31 says that
 * all residuals of the block are 0 and nothing follows. u = ESCAPE_ONES ones without a zero say that a long
 * number follows: 6 bits for its width in bits, then the zigzag-coded residual.
 *
 * Rice coding: R. F. Rice, JPL Publication 79-22 (1979). Fixed polynomial predictors: T. Robinson,
 * Cambridge CUED/F-INFENG/TR.156 (1994).
 */
import { crc32 } from 'node:zlib';
import { BitReader, BitWriter } from './bit-stream.ts';
import type { SampleChunk } from './capture-store.ts';

export const CHUNK_FORMAT_VERSION = 1;
export const MAX_CHUNK_SAMPLES = 65_536;
export const MAX_CHUNK_CHANNELS = 16;
/** Times and counts are whole numbers no larger than this, so that no prediction leaves the exact range of a double. */
export const MAX_CHUNK_VALUE = 2 ** 47;

const BLOCK_SAMPLES = 32;
const ALL_ZERO = 31;
const LARGEST_K = 30;
const ESCAPE_ONES = 24;
const PREDICTORS = 3;
const CRC_BYTES = 4;

/** @throws RangeError where the columns differ in length or a value is not a whole number in range */
export function encodeSampleChunk(chunk: SampleChunk): Uint8Array {
  const samples = chunk.timeTicks.length;
  if (samples < 1 || samples > MAX_CHUNK_SAMPLES) {
    throw new RangeError(`a chunk has 1 to ${MAX_CHUNK_SAMPLES} samples, not ${samples}`);
  }
  if (chunk.counts.length > MAX_CHUNK_CHANNELS) {
    throw new RangeError(`a chunk has at most ${MAX_CHUNK_CHANNELS} channels, not ${chunk.counts.length}`);
  }
  const writer = new BitWriter();
  writer.bits(CHUNK_FORMAT_VERSION, 8);
  writer.varint(samples);
  writer.varint(chunk.counts.length);
  for (const column of [chunk.timeTicks, ...chunk.counts]) {
    if (column.length !== samples) {
      throw new RangeError(`a column has ${column.length} values where the chunk has ${samples} samples`);
    }
    writeColumn(writer, column);
  }
  const body = writer.finish();
  const bytes = new Uint8Array(body.length + CRC_BYTES);
  bytes.set(body);
  new DataView(bytes.buffer).setUint32(body.length, crc32(body), true);
  return bytes;
}

export type DecodedChunk =
  | { readonly ok: true; readonly chunk: SampleChunk }
  | { readonly ok: false; readonly reason: ChunkDamage };

export type ChunkDamage = 'too-short' | 'checksum-wrong' | 'newer-format' | 'malformed';

/** Never throws: damaged bytes are a reason. */
export function decodeSampleChunk(bytes: Uint8Array): DecodedChunk {
  if (bytes.length < 3 + CRC_BYTES) return { ok: false, reason: 'too-short' };
  const body = bytes.subarray(0, bytes.length - CRC_BYTES);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (view.getUint32(body.length, true) !== crc32(body)) return { ok: false, reason: 'checksum-wrong' };
  const reader = new BitReader(body);
  if (reader.bits(8) !== CHUNK_FORMAT_VERSION) return { ok: false, reason: 'newer-format' };
  const samples = reader.varint();
  const channels = reader.varint();
  if (samples < 1 || samples > MAX_CHUNK_SAMPLES || channels > MAX_CHUNK_CHANNELS) {
    return { ok: false, reason: 'malformed' };
  }
  const timeTicks = readColumn(reader, samples);
  const counts: number[][] = [];
  for (let channel = 0; channel < channels && !reader.ranOut; channel++) {
    counts.push(readColumn(reader, samples));
  }
  return reader.ranOut ? { ok: false, reason: 'malformed' } : { ok: true, chunk: { timeTicks, counts } };
}

function writeColumn(writer: BitWriter, column: readonly number[]): void {
  for (const value of column) {
    if (!Number.isInteger(value) || Math.abs(value) > MAX_CHUNK_VALUE) {
      throw new RangeError(`a sample holds whole numbers up to ±2^47, not ${value}`);
    }
  }
  writer.long(zigzag(column[0]!));
  for (let start = 0; start < column.length; start += BLOCK_SAMPLES) {
    const end = Math.min(start + BLOCK_SAMPLES, column.length);
    let best: { predictor: number; k: number; bits: number; residuals: number[] } | null = null;
    for (let predictor = 0; predictor < PREDICTORS; predictor++) {
      const residuals: number[] = [];
      for (let index = start; index < end; index++) {
        residuals.push(zigzag(column[index]! - predicted(predictor, column, index)));
      }
      const { k, bits } = cheapestParameter(residuals);
      if (best === null || bits < best.bits) best = { predictor, k, bits, residuals };
    }
    writer.bits(best!.predictor, 2);
    writer.bits(best!.k, 5);
    if (best!.k !== ALL_ZERO) for (const residual of best!.residuals) writeRice(writer, residual, best!.k);
  }
}

function readColumn(reader: BitReader, samples: number): number[] {
  const column: number[] = [];
  const first = unzigzag(reader.long());
  for (let start = 0; start < samples && !reader.ranOut; start += BLOCK_SAMPLES) {
    const predictor = reader.bits(2);
    const k = reader.bits(5);
    const end = Math.min(start + BLOCK_SAMPLES, samples);
    for (let index = start; index < end && !reader.ranOut; index++) {
      const residual = k === ALL_ZERO ? 0 : unzigzag(readRice(reader, k));
      column.push(predicted(predictor, column, index, first) + residual);
    }
  }
  return column;
}

function predicted(predictor: number, column: readonly number[], index: number, first = column[0]!): number {
  const before = index > 0 ? column[index - 1]! : first;
  if (predictor === 0) return before;
  const second = index > 1 ? column[index - 2]! : first;
  if (predictor === 1) return 2 * before - second;
  const third = index > 2 ? column[index - 3]! : first;
  return 3 * (before - second) + third;
}

/** The exact number of bits for each k near the mean's logarithm, and the least of them. */
function cheapestParameter(residuals: readonly number[]): { k: number; bits: number } {
  let sum = 0;
  for (const residual of residuals) sum += residual;
  if (sum === 0) return { k: ALL_ZERO, bits: 0 };
  const guess = Math.min(LARGEST_K, Math.max(0, Math.floor(Math.log2(sum / residuals.length))));
  let best = { k: guess, bits: Number.POSITIVE_INFINITY };
  for (let k = Math.max(0, guess - 2); k <= Math.min(LARGEST_K, guess + 1); k++) {
    let bits = 0;
    for (const residual of residuals) {
      const ones = Math.floor(residual / 2 ** k);
      bits += ones < ESCAPE_ONES ? ones + 1 + k : ESCAPE_ONES + BitWriter.longBits(residual);
    }
    if (bits < best.bits) best = { k, bits };
  }
  return best;
}

function writeRice(writer: BitWriter, residual: number, k: number): void {
  const ones = Math.floor(residual / 2 ** k);
  if (ones < ESCAPE_ONES) {
    writer.bits(2 ** (ones + 1) - 2, ones + 1);
    writer.bits(residual % 2 ** k, k);
  } else {
    writer.bits(2 ** ESCAPE_ONES - 1, ESCAPE_ONES);
    writer.long(residual);
  }
}

function readRice(reader: BitReader, k: number): number {
  let ones = 0;
  while (ones < ESCAPE_ONES && reader.bits(1) === 1) ones++;
  return ones === ESCAPE_ONES ? reader.long() : ones * 2 ** k + reader.bits(k);
}

const zigzag = (value: number): number => (value < 0 ? -2 * value - 1 : 2 * value);
const unzigzag = (code: number): number => (code % 2 === 0 ? code / 2 : -(code + 1) / 2);
