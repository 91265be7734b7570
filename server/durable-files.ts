import { closeSync, fsyncSync, openSync } from 'node:fs';

/** What was written to the file is on the disk when this returns. */
export function syncFile(path: string): void {
  const file = openSync(path, 'r+');
  try {
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}

/** A rename is on the disk only when its folder is. Windows cannot sync a folder and does not need to. */
export function syncFolder(path: string): void {
  if (process.platform === 'win32') return;
  const folder = openSync(path, 'r');
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
