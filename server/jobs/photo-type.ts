import type { Photo } from '../contract/jobs.ts';

/** Told by the first bytes alone, whatever the sender calls it; null for anything else. */
export function photoType(bytes: Uint8Array): Photo['type'] | null {
  // ISO/IEC 10918-1: SOI marker, then another marker.
  if (startsWith(bytes, [0xff, 0xd8, 0xff])) return 'image/jpeg';
  // ISO/IEC 15948, PNG signature.
  if (startsWith(bytes, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return 'image/png';
  // RFC 9649: 'RIFF', size, 'WEBP'.
  if (
    startsWith(bytes, [0x52, 0x49, 0x46, 0x46]) &&
    startsWith(bytes.subarray(8), [0x57, 0x45, 0x42, 0x50])
  ) {
    return 'image/webp';
  }
  return null;
}

function startsWith(bytes: Uint8Array, signature: readonly number[]): boolean {
  return bytes.length > signature.length && signature.every((byte, index) => bytes[index] === byte);
}
