import { existsSync, mkdirSync } from 'node:fs';
import { copyFile, link, mkdir, readdir, rename, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { syncFile, syncFolder } from '../../durable-files.ts';
import { lockFolder } from '../folder-lock.ts';
import { DATABASE_FILE } from '../open-store.ts';
import { PHOTO_FOLDER } from '../photo-store.ts';
import { MANIFEST_FILE, readManifest } from './backup-manifest.ts';
import { backupName } from './backup-names.ts';
import { isSettingsFile } from './settings-files.ts';
import { verifyBackup } from './verify-backup.ts';

export type Restored =
  | { readonly ok: true; readonly setAside: string | null }
  | {
      readonly ok: false;
      readonly code: 'backup-damaged' | 'data-folder-in-use' | 'data-folder-unwritable';
      readonly detail: string;
    };

const SIDE_FILES = ['-wal', '-shm', '-journal'];
const DATABASE_FILES = ['', ...SIDE_FILES].map((ending) => `${DATABASE_FILE}${ending}`);

/**
 * Puts a backup in the place of the data. The backup is checked first and left as it is; what was in the data
 * folder is set aside within it, so that nothing is lost and the step can be taken back. The service must not run.
 */
export async function restoreBackup(backup: string, dataDir: string, atMs: number): Promise<Restored> {
  const verified = await verifyBackup(backup);
  if (!verified.ok) return { ok: false, code: 'backup-damaged', detail: verified.problems.join('; ') };
  let unlock: (() => void) | null = null;
  try {
    mkdirSync(dataDir, { recursive: true, mode: 0o700 });
    unlock = lockFolder(dataDir);
    if (unlock === null) return { ok: false, code: 'data-folder-in-use', detail: dataDir };
    const setAside = await setOldAside(dataDir, atMs);
    await putInPlace(backup, dataDir);
    return { ok: true, setAside };
  } catch (error) {
    const detail = error instanceof Error ? error.message : String(error);
    return { ok: false, code: 'data-folder-unwritable', detail };
  } finally {
    unlock?.();
  }
}

/** Links or copies, so that the old data stay in place until the new ones are there. */
async function setOldAside(dataDir: string, atMs: number): Promise<string | null> {
  const names = (await readdir(dataDir, { withFileTypes: true }))
    .filter((entry) => isSettingsFile(entry) || DATABASE_FILES.includes(entry.name))
    .map((entry) => entry.name);
  if (names.length === 0) return null;
  const aside = join(dataDir, backupName(atMs).replace('backup', 'before-restore'));
  await mkdir(aside, { mode: 0o700 });
  for (const name of names) {
    const from = join(dataDir, name);
    // SQLite's side files change in place; a link would change with them.
    if (SIDE_FILES.some((ending) => name.endsWith(ending))) await copyFile(from, join(aside, name));
    else await link(from, join(aside, name)).catch(() => copyFile(from, join(aside, name)));
  }
  syncFolder(aside);
  syncFolder(dataDir);
  return aside;
}

/** Photos first, for they are only added; the database last, in one rename. */
async function putInPlace(backup: string, dataDir: string): Promise<void> {
  const manifest = (await readManifest(backup))!;
  const paths = manifest.files.map((file) => file.path);
  for (const path of paths.filter((each) => each.startsWith(`${PHOTO_FOLDER}/`))) {
    const to = join(dataDir, path);
    if (!existsSync(to)) await copyInto(join(backup, path), to);
  }
  for (const path of paths) {
    if (path.startsWith(`${PHOTO_FOLDER}/`) || path === DATABASE_FILE || path === MANIFEST_FILE) continue;
    await copyInto(join(backup, path), join(dataDir, path));
  }
  const target = join(dataDir, DATABASE_FILE);
  await copyFile(join(backup, DATABASE_FILE), `${target}.partial`);
  syncFile(`${target}.partial`);
  for (const ending of SIDE_FILES) await rm(`${target}${ending}`, { force: true });
  await rename(`${target}.partial`, target);
  syncFolder(dataDir);
}

async function copyInto(from: string, to: string): Promise<void> {
  await mkdir(dirname(to), { recursive: true, mode: 0o700 });
  await copyFile(from, `${to}.partial`);
  syncFile(`${to}.partial`);
  await rename(`${to}.partial`, to);
}
