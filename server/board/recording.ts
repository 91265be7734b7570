/**
 * A recording of what a board sent, byte for byte with the time of each chunk, as a text file:
 *
 *     idlewright-recording 1
 *     0.0 SSwxLGJv…
 *     16.4 UywyLD…
 *
 * The first line names the format and its version. Each further line is one chunk: milliseconds since the
 * recording began, one space, the bytes in base64 (RFC 4648). A cut-off last line is left out.
 */
export const RECORDING_HEADER = 'idlewright-recording 1';

export interface RecordedChunk {
  readonly atMs: number;
  readonly bytes: Uint8Array;
}

export function formatChunk(atMs: number, bytes: Uint8Array): string {
  return `${atMs.toFixed(1)} ${Buffer.from(bytes).toString('base64')}\n`;
}

/** One line of the body, or null where it is none of the format. */
export function parseChunk(line: string): RecordedChunk | null {
  const parts = /^(\d+(?:\.\d+)?) ([A-Za-z0-9+/]*={0,2})$/.exec(line);
  if (parts === null || parts[2]!.length % 4 !== 0) return null;
  return { atMs: Number(parts[1]), bytes: Buffer.from(parts[2]!, 'base64') };
}
