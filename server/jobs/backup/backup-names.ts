import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { readManifest } from './backup-manifest.ts';

const NAME = /^idlewright-backup-(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)(\d{3})Z$/;

/** `idlewright-backup-20240531T101500000Z`: names sort by time. */
export function backupName(atMs: number): string {
  return `idlewright-backup-${new Date(atMs).toISOString().replaceAll(/[-:.]/g, '')}`;
}

export interface FoundBackup {
  readonly name: string;
  readonly path: string;
  readonly madeAtMs: number;
  readonly bytes: number;
}

/** The complete backups in a folder, newest first; what else is in there is left alone. */
export async function backupsIn(folder: string): Promise<FoundBackup[]> {
  const names = (await readdir(folder).catch((): string[] => [])).filter((name) => NAME.test(name));
  const found: FoundBackup[] = [];
  for (const name of names.sort().reverse()) {
    const path = join(folder, name);
    const manifest = await readManifest(path);
    if (manifest === null) continue;
    const bytes = manifest.files.reduce((sum, file) => sum + file.bytes, 0);
    found.push({ name, path, madeAtMs: manifest.madeAtMs, bytes });
  }
  return found;
}
