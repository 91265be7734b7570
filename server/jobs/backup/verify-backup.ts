import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { brokenReferences, integrityDamage, sampleChunkDamage } from '../integrity.ts';
import { fileVersion } from '../migrate.ts';
import { ALL_MIGRATIONS } from '../migrations/all-migrations.ts';
import { DATABASE_FILE } from '../open-store.ts';
import { PHOTO_FOLDER, photoPath } from '../photo-store.ts';
import { openSqliteDatabase, type SqliteDatabase } from '../sqlite-database.ts';
import { BACKUP_FORMAT_VERSION, fileDigest, MANIFEST_FILE, readManifest } from './backup-manifest.ts';

export interface VerifiedCounts {
  readonly owners: number;
  readonly machines: number;
  readonly visits: number;
  readonly captures: number;
  readonly sampleChunks: number;
  readonly photos: number;
}

export type Verified =
  | { readonly ok: true; readonly counts: VerifiedCounts }
  | { readonly ok: false; readonly problems: readonly string[] };

const MAX_PROBLEMS = 20;

/** Every file against its checksum, then what is in them. Changes nothing. */
export async function verifyBackup(folder: string): Promise<Verified> {
  const manifest = await readManifest(folder);
  if (manifest === null)
    return { ok: false, problems: [`${join(folder, MANIFEST_FILE)} is missing or damaged`] };
  if (manifest.version > BACKUP_FORMAT_VERSION) {
    return { ok: false, problems: ['it was made by a newer version of this program'] };
  }
  const problems: string[] = [];
  for (const file of manifest.files) {
    const found = await fileDigest(join(folder, file.path)).catch(() => null);
    if (found === null) problems.push(`${file.path} is missing`);
    else if (found.sha256 !== file.sha256) problems.push(`${file.path} was changed`);
  }
  if (problems.length > 0) return { ok: false, problems: problems.slice(0, MAX_PROBLEMS) };
  return verifyData(folder);
}

/** The data folder itself, or the data in a backup; another process may be at work in it. */
export async function verifyData(dataDir: string): Promise<Verified> {
  const path = join(dataDir, DATABASE_FILE);
  if (!existsSync(path)) return { ok: false, problems: [`${path} is missing`] };
  let database: SqliteDatabase | null = null;
  try {
    database = openSqliteDatabase(path, { readOnly: true });
    const version = fileVersion(database);
    if (version.kind !== 'ours') return { ok: false, problems: [`${path} holds no data of this program`] };
    if (version.version > ALL_MIGRATIONS.length) {
      return { ok: false, problems: ['it was made by a newer version of this program'] };
    }
    return await verifyContent(database, dataDir, version.version);
  } catch (error) {
    const words = error instanceof Error ? error.message : String(error);
    return { ok: false, problems: [`${path}: ${words}`] };
  } finally {
    database?.close();
  }
}

async function verifyContent(database: SqliteDatabase, dataDir: string, version: number): Promise<Verified> {
  const damage = integrityDamage(database);
  if (damage !== null) return { ok: false, problems: [damage] };
  const problems = brokenReferences(database);
  const { chunks, damaged } = await sampleChunkDamage(database);
  if (damaged > 0) problems.push(`${damaged} of ${chunks} pieces of raw samples cannot be read`);
  const hasRecords = version >= 2;
  const photos = hasRecords ? database.prepare('SELECT id FROM photos').all() : [];
  for (const { id } of photos) {
    const found = await fileDigest(photoPath(join(dataDir, PHOTO_FOLDER), String(id))).catch(() => null);
    if (found === null) problems.push(`the photo ${String(id)} is missing`);
    else if (found.sha256 !== id) problems.push(`the photo ${String(id)} was changed`);
  }
  if (problems.length > 0) return { ok: false, problems: problems.slice(0, MAX_PROBLEMS) };
  const count = (table: string) =>
    Number(database.prepare(`SELECT count(*) AS n FROM ${table}`).get()?.n ?? 0);
  return {
    ok: true,
    counts: {
      owners: hasRecords ? count('owners') : 0,
      machines: hasRecords ? count('machines') : 0,
      visits: hasRecords ? count('visits') : 0,
      captures: count('captures'),
      sampleChunks: chunks,
      photos: photos.length,
    },
  };
}
