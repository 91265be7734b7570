/** Files that only the person who runs the program may read: 0600 in a folder of 0700. */
import {
  chmodSync,
  closeSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { syncFolder } from '../durable-files.ts';

/**
 * Of the data folder. Apart from the settings in it, because these are not for backups: a restored list would let in
 * again who had been removed, and a key belongs on one computer.
 */
export const ACCESS_FOLDER = 'access';

/** @returns the folder, made and made private. @throws as node:fs does */
export function accessFolder(dataDir: string): string {
  const folder = join(dataDir, ACCESS_FOLDER);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  chmodSync(folder, 0o700);
  return folder;
}

/** @returns null where there is none that can be read */
export function readPrivateFile(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return null;
  }
}

/** Replaces the file in one step, so that a power cut leaves the old or the new one. @throws as node:fs does */
export function writePrivateFile(path: string, text: string): void {
  const fresh = `${path}.new`;
  // One that a power cut left could have another mode.
  rmSync(fresh, { force: true });
  const file = openSync(fresh, 'wx', 0o600);
  try {
    writeSync(file, text);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  renameSync(fresh, path);
  syncFolder(dirname(path));
}
