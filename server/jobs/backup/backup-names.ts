import { readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { readManifest } from './backup-manifest.ts';

const NAME = /^idlewright-backup-(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)(\d{3})Z$/;
const PARTIAL = '.partial';

/** `idlewright-backup-20240531T101500000Z`: names sort by time. */
export function backupName(atMs: number): string {
  return `idlewright-backup-${new Date(atMs).toISOString().replaceAll(/[-:.]/g, '')}`;
}

/** Of a backup that is being made, or that a stop of the program cut off. */
export const partialName = (name: string): string => name + PARTIAL;

/** Half backups in a folder that were begun before then, by their names. @returns their paths */
export async function halfBackupsIn(folder: string, beforeMs: number): Promise<string[]> {
  const names = await readdir(folder).catch((): string[] => []);
  return names
    .filter((name) => name.endsWith(PARTIAL) && NAME.test(name.slice(0, -PARTIAL.length)))
    .filter((name) => name.slice(0, -PARTIAL.length) < backupName(beforeMs))
    .map((name) => join(folder, name));
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
