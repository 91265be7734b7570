/**
 * The one file that knows the SQLite package. It has the interface of `node:sqlite`, so that the built-in
 * module can take its place here when every supported Node carries it.
 */
import { backup, DatabaseSync, type DatabaseSyncInstance } from '@photostructure/sqlite';

/** What a column can hold. Integers beyond ±2^53 do not occur: everything we count fits a double. */
export type SqliteValue = null | number | string | Uint8Array;
export type SqliteRow = Record<string, SqliteValue>;

export interface SqliteStatement {
  run(...values: readonly unknown[]): { readonly changes: number };
  get(...values: readonly unknown[]): SqliteRow | undefined;
  all(...values: readonly unknown[]): SqliteRow[];
  /** false for statements that answer no rows. */
  readonly answersRows: boolean;
}

export interface SqliteDatabase {
  readonly path: string;
  /** Runs statements that take no values. */
  exec(sql: string): void;
  prepare(sql: string): SqliteStatement;
  /**
   * All of `work` or nothing of it, durable when this returns. `work` is synchronous, so nothing else of this
   * process can come between. Within a transaction it joins the outer one.
   */
  transaction<T>(work: () => T): T;
  /**
   * Writes a copy of the moment to a new file, a few pages at a time, so that the process goes on with its work.
   * Others may write meanwhile where this connection is within a transaction that only reads.
   */
  copyTo(path: string): Promise<void>;
  /** Moves everything into the main file, so that a plain copy of it is whole, and closes. */
  close(): void;
}

export interface SqliteOpenOptions {
  readonly readOnly?: boolean;
  /** How long to wait for another process's write [ms]. */
  readonly busyTimeoutMs?: number;
}

const DEFAULT_BUSY_TIMEOUT_MS = 2000;
const MAX_KEPT_STATEMENTS = 256;
const COPIED_PAGES_AT_ONCE = 128;

/** @throws the package's error where the file cannot be opened; see `sqliteTrouble` */
export function openSqliteDatabase(path: string, options: SqliteOpenOptions = {}): SqliteDatabase {
  const readOnly = options.readOnly ?? false;
  const database = new DatabaseSync(path, {
    readOnly,
    enableForeignKeyConstraints: true,
    timeout: options.busyTimeoutMs ?? DEFAULT_BUSY_TIMEOUT_MS,
    defensive: true,
  });
  const statements = new Map<string, SqliteStatement>();
  let open = true;
  let inTransaction = false;
  const api: SqliteDatabase = {
    path,
    exec: (sql) => database.exec(sql),
    prepare(sql) {
      const kept = statements.get(sql);
      if (kept !== undefined) return kept;
      const made = prepared(database, sql);
      // The package frees a statement only with the garbage, hence few of them and each for long.
      if (statements.size >= MAX_KEPT_STATEMENTS) statements.delete(statements.keys().next().value!);
      statements.set(sql, made);
      return made;
    },
    transaction(work) {
      if (inTransaction) return work();
      database.exec('BEGIN IMMEDIATE');
      inTransaction = true;
      try {
        const result = work();
        database.exec('COMMIT');
        return result;
      } catch (error) {
        // After a full disk SQLite has often rolled back by itself.
        if (database.isTransaction) database.exec('ROLLBACK');
        throw error;
      } finally {
        inTransaction = false;
      }
    },
    async copyTo(path) {
      await backup(database, path, { rate: COPIED_PAGES_AT_ONCE });
    },
    close() {
      if (!open) return;
      open = false;
      try {
        // The package keeps a closed connection half alive until its statements are collected as garbage: an open
        // transaction would go on holding the file.
        if (database.isTransaction) database.exec('ROLLBACK');
        if (!readOnly) leaveOneFile(database);
      } finally {
        database.close();
      }
    },
  };
  return api;
}

function prepared(database: DatabaseSyncInstance, sql: string): SqliteStatement {
  const statement = database.prepare(sql);
  return {
    answersRows: statement.columns().length > 0,
    run: (...values) => ({ changes: statement.run(...values.map(bindable)).changes }),
    get: (...values) => statement.get(...values.map(bindable)) as SqliteRow | undefined,
    all: (...values) => statement.all(...values.map(bindable)) as SqliteRow[],
  };
}

/** Out of WAL mode a closed file is whole by itself and can be read from a folder that cannot be written. */
function leaveOneFile(database: DatabaseSyncInstance): void {
  try {
    database.exec('PRAGMA wal_checkpoint(TRUNCATE)');
    // Who reads just now is not waited for.
    database.exec('PRAGMA busy_timeout = 0');
    database.exec('PRAGMA journal_mode = DELETE');
  } catch (error) {
    // A backup or an export reads: nothing is lost, the side files stay until the next closing.
    if (sqliteTrouble(error) !== 'busy') throw error;
  }
}

/** SQLite ends text at a NUL and the rest would vanish without a word; other kinds are mistakes of ours. */
function bindable(value: unknown): SqliteValue {
  if (value === null) return null;
  if (typeof value === 'string') {
    if (value.includes('\0')) throw new TextWithNul();
    return value;
  }
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new TypeError(`a column takes finite numbers, not ${value}`);
    return value;
  }
  if (value instanceof Uint8Array) return value;
  throw new TypeError(`a column cannot hold a ${typeof value}`);
}

/** Text with a NUL character was to be stored. */
export class TextWithNul extends Error {
  constructor() {
    super('text with a NUL character cannot be stored');
  }
}

export type SqliteTrouble = 'disk-full' | 'damaged' | 'unwritable' | 'busy' | 'other';

// Primary result codes, https://www.sqlite.org/rescode.html
const TROUBLES = new Map<number, SqliteTrouble>([
  [5, 'busy'], // SQLITE_BUSY
  [6, 'busy'], // SQLITE_LOCKED
  [8, 'unwritable'], // SQLITE_READONLY
  [11, 'damaged'], // SQLITE_CORRUPT
  [13, 'disk-full'], // SQLITE_FULL
  [14, 'unwritable'], // SQLITE_CANTOPEN
  [23, 'unwritable'], // SQLITE_AUTH
  [26, 'damaged'], // SQLITE_NOTADB
]);
// Extended codes of SQLITE_IOERR: only a failed write, sync or truncate speaks of a disk that takes no more.
const WRITE_FAILURES = new Set([778, 1034, 1290, 1546, 4874]);

/** What an error thrown by a database means for the person. */
export function sqliteTrouble(error: unknown): SqliteTrouble {
  if (typeof error !== 'object' || error === null) return 'other';
  const { sqliteExtendedCode, errcode } = error as { sqliteExtendedCode?: unknown; errcode?: unknown };
  const code = typeof sqliteExtendedCode === 'number' ? sqliteExtendedCode : errcode;
  if (typeof code !== 'number') return 'other';
  return WRITE_FAILURES.has(code) ? 'disk-full' : (TROUBLES.get(code & 0xff) ?? 'other');
}
