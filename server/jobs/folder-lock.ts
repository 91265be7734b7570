/**
 * One service per data folder. The lock is the operating system's own on a small file, so it goes away with the
 * process that held it, however that ends.
 */
import { join } from 'node:path';
import { openSqliteDatabase, sqliteTrouble } from './sqlite-database.ts';

export const LOCK_FILE = 'idlewright.lock';

/** @returns what gives the folder free again, or null while another holds it */
export function lockFolder(dataDir: string): (() => void) | null {
  const file = openSqliteDatabase(join(dataDir, LOCK_FILE), { busyTimeoutMs: 0 });
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
