/**
 * One service per data folder. The lock is the operating system's own on a small file, so it goes away with the
 * process that held it, however that ends.
 */
import { closeSync, openSync } from 'node:fs';
import { join } from 'node:path';
import { openSqliteDatabase, sqliteTrouble } from './sqlite-database.ts';

export const LOCK_FILE = 'idlewright.lock';

/** @returns what gives the folder free again, or null while another holds it */
export function lockFolder(dataDir: string): (() => void) | null {
  const path = join(dataDir, LOCK_FILE);
  makePrivateFile(path);
  const file = openSqliteDatabase(path, { busyTimeoutMs: 0 });
  try {
    file.exec('PRAGMA journal_mode = MEMORY');
    file.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    file.close();
    if (sqliteTrouble(error) === 'busy') return null;
    throw error;
  }
  return () => {
    file.exec('ROLLBACK');
    file.close();
  };
}

/**
 * Another user who could read it could lock it too, and keep the program from starting. One that is there is not opened:
 * closing any handle of a file gives up this process's locks on it (POSIX, fcntl).
 */
function makePrivateFile(path: string): void {
  try {
    closeSync(openSync(path, 'wx', 0o600));
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  }
}
