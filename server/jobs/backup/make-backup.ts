import { link, mkdir, readdir, rename, rm, stat, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { syncFolder } from '../../durable-files.ts';
import { PHOTO_FOLDER } from '../photo-store.ts';
import { openSqliteDatabase } from '../sqlite-database.ts';
import {
  BACKUP_FORMAT,
  BACKUP_FORMAT_VERSION,
  type BackupManifest,
  fileDigest,
  MANIFEST_FILE,
} from './backup-manifest.ts';
import { backupName, backupsIn, type FoundBackup, halfBackupsIn, partialName } from './backup-names.ts';
import { backupProblem, noSuchFolder } from './backup-problem.ts';
import { copyToDisk, putOnDisk } from './copy-to-disk.ts';
import { isSettingsFile } from './settings-files.ts';
import { verifyBackup } from './verify-backup.ts';

export interface BackupWish {
  readonly dataDir: string;
  /** Name of the database's file within it. */
  readonly databaseFile: string;
  /** Must exist: a stick that is not mounted must not be taken for a folder of this computer. */
  readonly folder: string;
  readonly atMs: number;
  readonly softwareVersion: string;
}

export type MadeBackup =
  | { readonly ok: true; readonly backup: FoundBackup }
  | { readonly ok: false; readonly detail: string };

/** A half backup this old was cut off by a stop or a power cut; no backup takes so long [ms]. */
const ABANDONED_AFTER_MS = 24 * 3_600_000;

/**
 * A whole copy of the data of one moment, checked after writing. The service goes on meanwhile, and may be another
 * process. Photos that the backup before has are linked to it where the disk can do that.
 */
export async function makeBackup(wish: BackupWish): Promise<MadeBackup> {
  const name = backupName(wish.atMs);
  const partial = join(wish.folder, partialName(name));
  try {
    const folder = await stat(wish.folder).catch(() => null);
    if (folder?.isDirectory() !== true) return { ok: false, detail: noSuchFolder(wish.folder) };
    for (const abandoned of await halfBackupsIn(wish.folder, wish.atMs - ABANDONED_AFTER_MS))
      await rm(abandoned, { recursive: true, force: true });
    const [before] = await backupsIn(wish.folder);
    await mkdir(partial, { mode: 0o700 });
    await copyDatabase(join(wish.dataDir, wish.databaseFile), join(partial, wish.databaseFile));
    await copySettings(wish, partial);
    await copyPhotos(wish.dataDir, partial, before?.path ?? null);
    await writeManifest(partial, wish);
    const checked = await verifyBackup(partial);
    if (!checked.ok) throw new Error(checked.problems.join('; '));
    const path = join(wish.folder, name);
    await rename(partial, path);
    syncFolder(wish.folder);
    const backup = (await backupsIn(wish.folder)).find((found) => found.name === name);
    if (backup === undefined) throw new Error(`${path} cannot be read back`);
    return { ok: true, backup };
  } catch (error) {
    await rm(partial, { recursive: true, force: true }).catch(() => undefined);
    return { ok: false, detail: backupProblem(error, wish.folder) };
  }
}

async function copyDatabase(from: string, to: string): Promise<void> {
  const source = openSqliteDatabase(from, { readOnly: true });
  try {
    source.exec('BEGIN');
    // The moment is fixed by the first read.
    source.prepare('SELECT count(*) FROM sqlite_schema').get();
    await source.copyTo(to);
  } finally {
    source.close();
  }
  // Opening and closing leaves one file that needs no other.
  const copy = openSqliteDatabase(to);
  copy.close();
  await putOnDisk(to);
}

async function copySettings({ dataDir }: BackupWish, partial: string): Promise<void> {
  for (const entry of await readdir(dataDir, { withFileTypes: true })) {
    if (!isSettingsFile(entry)) continue;
    const to = join(partial, entry.name);
    await copyToDisk(join(dataDir, entry.name), to);
  }
}

async function copyPhotos(dataDir: string, partial: string, before: string | null): Promise<void> {
  for (const path of await filesUnder(join(dataDir, PHOTO_FOLDER))) {
    if (path.endsWith('.partial')) continue;
    const to = join(partial, PHOTO_FOLDER, path);
    await mkdir(dirname(to), { recursive: true, mode: 0o700 });
    const linked =
      before !== null &&
      (await link(join(before, PHOTO_FOLDER, path), to).then(
        () => true,
        () => false,
      ));
    if (linked) continue;
    await copyToDisk(join(dataDir, PHOTO_FOLDER, path), to);
  }
}

async function writeManifest(partial: string, wish: BackupWish): Promise<void> {
  const files: BackupManifest['files'] = [];
  for (const path of await filesUnder(partial)) {
    files.push({ path, ...(await fileDigest(join(partial, path))) });
  }
  const manifest: BackupManifest = {
    format: BACKUP_FORMAT,
    version: BACKUP_FORMAT_VERSION,
    madeAtMs: wish.atMs,
    softwareVersion: wish.softwareVersion,
    files,
  };
  const path = join(partial, MANIFEST_FILE);
  await writeFile(path, `${JSON.stringify(manifest, null, 2)}\n`, { mode: 0o600 });
  await putOnDisk(path);
}

/** Paths within a folder, sorted, with `/` between; none where it does not exist. */
export async function filesUnder(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => []);
  const found: string[] = [];
  for (const entry of entries) {
    if (entry.isFile()) found.push(entry.name);
    if (!entry.isDirectory()) continue;
    for (const inner of await filesUnder(join(folder, entry.name))) found.push(`${entry.name}/${inner}`);
  }
  return found.sort();
}
