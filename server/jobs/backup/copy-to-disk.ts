import { createReadStream, createWriteStream } from 'node:fs';
import { open } from 'node:fs/promises';
import { pipeline } from 'node:stream/promises';

const PIECE_BYTES = 256 * 1024;

/**
 * Copies a file and waits until it is on the disk. Piece by piece: neither does the program stand still while a slow
 * stick is waited for, nor has its end to wait for more than one piece.
 */
export async function copyToDisk(from: string, to: string): Promise<void> {
  const out = createWriteStream(to, { mode: 0o600 });
  await pipeline(createReadStream(from, { highWaterMark: PIECE_BYTES }), out);
  await putOnDisk(to);
}

/** As `fsync`, without the program standing still meanwhile. */
export async function putOnDisk(path: string): Promise<void> {
  const file = await open(path, 'r+');
  try {
    await file.sync();
  } finally {
    await file.close();
  }
}
