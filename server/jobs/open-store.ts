/** Opens the data folder: creates it, locks it, brings the file up to date and closes what was cut off. */
import { randomUUID } from 'node:crypto';
import { chmodSync, closeSync, mkdirSync, openSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { CalibrationRecords } from './calibration-records.ts';
import { CaptureRecords } from './capture-records.ts';
import { CheckResultRecords } from './check-result-records.ts';
import { diskTrouble } from './disk-trouble.ts';
import { lockFolder } from './folder-lock.ts';
import { integrityDamage } from './integrity.ts';
import { JobRecords } from './job-records.ts';
import { fileVersion, migrate } from './migrate.ts';
import { ALL_MIGRATIONS } from './migrations/all-migrations.ts';
import type { Migration } from './migrations/migration.ts';
import { PhotoStore } from './photo-store.ts';
import { recordParts } from './record-parts.ts';
import { SearchWriter } from './search-writer.ts';
import { openSqliteDatabase, type SqliteDatabase, sqliteTrouble } from './sqlite-database.ts';
import { INCOMING_FOLDER } from './transfer/incoming-folder.ts';
import { momentOfFile, type RecordMoment } from './transfer/record-moment.ts';
import { writeTogether } from './write-together.ts';

export const DATABASE_FILE = 'idlewright.sqlite';

/** A file up to this size is checked as a whole when it is opened [bytes]; a larger one by `verify`. */
export const FULL_CHECK_BYTES = 32 * 1024 * 1024;

export interface Store {
  readonly dataDir: string;
  readonly captures: CaptureRecords;
  readonly calibrations: CalibrationRecords;
  readonly checkResults: CheckResultRecords;
  readonly records: JobRecords;
  /** The record at one moment, for an export. */
  readonly openMoment: () => Promise<RecordMoment>;
  /** Captures that a cut-off had left open and that were marked interrupted. */
  readonly interruptedAtOpening: number;
  readonly database: SqliteDatabase;
  /** Everything is in the one file afterwards. Never throws twice; do this last. */
  close(): void;
}

export type StoreProblemCode =
  | 'data-folder-unwritable'
  | 'data-folder-in-use'
  | 'data-newer-version'
  | 'data-damaged'
  | 'data-not-ours'
  | 'disk-full';

export type OpenedStore =
  | { readonly ok: true; readonly store: Store }
  | { readonly ok: false; readonly code: StoreProblemCode; readonly detail: string };

export interface OpenStoreOptions {
  readonly newId?: () => string;
  /** [ms since 1970] */
  readonly wallMs?: () => number;
  readonly migrations?: readonly Migration[];
}

/**
 * @param dataDir made with access for its owner alone where it does not exist
 * @returns a store, or why there is none; then nothing was changed
 */
export async function openStore(dataDir: string, options: OpenStoreOptions = {}): Promise<OpenedStore> {
  const migrations = options.migrations ?? ALL_MIGRATIONS;
  let unlock: (() => void) | null = null;
  let database: SqliteDatabase | null = null;
  const refuse = (code: StoreProblemCode, detail: string): OpenedStore => {
    closeQuietly(database);
    unlock?.();
    return { ok: false, code, detail };
  };
  try {
    makePrivateFolder(dataDir);
    unlock = lockFolder(dataDir);
    if (unlock === null) return refuse('data-folder-in-use', dataDir);
    const path = join(dataDir, DATABASE_FILE);
    makePrivateFile(path);
    database = openSqliteDatabase(path);
    const found = fileVersion(database);
    if (found.kind === 'foreign') return refuse('data-not-ours', path);
    if (found.kind === 'ours' && found.version > migrations.length) {
      return refuse(
        'data-newer-version',
        `${path} has version ${found.version}, known is ${migrations.length}`,
      );
    }
    const damage = statSync(path).size <= FULL_CHECK_BYTES ? integrityDamage(database) : null;
    if (damage !== null) return refuse('data-damaged', `${path}: ${damage}`);
    rmSync(join(dataDir, INCOMING_FOLDER), { recursive: true, force: true });
    makeDurable(database);
    migrate(database, migrations);
    learnWhatIsThere(database);
    const newId = options.newId ?? randomUUID;
    const captures = new CaptureRecords(database, newId);
    const parts = recordParts(database, newId, options.wallMs ?? Date.now);
    const interruptedAtOpening = captures.interruptAllRecording();
    writeTogether(database, await new SearchWriter(parts.db).missing());
    const records = new JobRecords(parts, { photos: new PhotoStore(parts, dataDir), captures });
    return {
      ok: true,
      store: {
        dataDir,
        captures,
        calibrations: new CalibrationRecords(database, newId),
        checkResults: new CheckResultRecords(database, newId),
        records,
        openMoment: () => momentOfFile(dataDir, DATABASE_FILE),
        interruptedAtOpening,
        database,
        close: closer(database, unlock),
      },
    };
  } catch (error) {
    const code = problemCode(error);
    if (code !== null) return refuse(code, error instanceof Error ? error.message : String(error));
    closeQuietly(database);
    unlock?.();
    throw error;
  }
}

function closer(database: SqliteDatabase, unlock: () => void): () => void {
  let open = true;
  return () => {
    if (!open) return;
    open = false;
    try {
      database.close();
    } finally {
      unlock();
    }
  };
}

/** A commit is on the disk, not only with the operating system, when it returns. */
function makeDurable(database: SqliteDatabase): void {
  database.exec('PRAGMA journal_mode = WAL');
  database.exec('PRAGMA synchronous = FULL');
  database.exec('PRAGMA fullfsync = ON');
  database.exec('PRAGMA foreign_keys = ON');
}

/** Lets SQLite count a sample of the rows, so that it searches by the index that leaves fewest: lang_analyze.html, 3. */
function learnWhatIsThere(database: SqliteDatabase): void {
  database.exec('PRAGMA analysis_limit = 400');
  database.exec('PRAGMA optimize = 0x10002');
}

function makePrivateFolder(dataDir: string): void {
  const made = mkdirSync(dataDir, { recursive: true, mode: 0o700 });
  // A folder that was there before keeps its mode: it may hold more than ours.
  if (made !== undefined) chmodSync(dataDir, 0o700);
}

/** SQLite gives its side files the mode of the main one. */
function makePrivateFile(path: string): void {
  closeSync(openSync(path, 'a', 0o600));
}

/** null for a mistake of ours, which is no state of the disk. */
function problemCode(error: unknown): StoreProblemCode | null {
  const trouble = sqliteTrouble(error);
  if (trouble === 'damaged') return 'data-damaged';
  if (trouble === 'disk-full') return 'disk-full';
  if (trouble === 'busy') return 'data-folder-in-use';
  const ofDisk = diskTrouble(error);
  if (ofDisk === 'full') return 'disk-full';
  return trouble === 'unwritable' || ofDisk !== null ? 'data-folder-unwritable' : null;
}

function closeQuietly(database: SqliteDatabase | null): void {
  try {
    database?.close();
  } catch {
    // The reason to close is already known; a second one would hide it.
  }
}
