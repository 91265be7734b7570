import { Kysely } from 'kysely';
import { sqliteDialect } from './kysely-sqlite-driver.ts';
import type { SqliteDatabase } from './sqlite-database.ts';
import type { Tables } from './tables.ts';
import { WriteQueue } from './write-queue.ts';

/** What every part of the job record works with. */
export interface RecordParts {
  readonly database: SqliteDatabase;
  readonly db: Kysely<Tables>;
  readonly queue: WriteQueue;
  readonly newId: () => string;
  /** [ms since 1970] */
  readonly wallMs: () => number;
}

export function recordParts(
  database: SqliteDatabase,
  newId: () => string,
  wallMs: () => number,
): RecordParts {
  const db = new Kysely<Tables>({ dialect: sqliteDialect(database) });
  return { database, db, queue: new WriteQueue(), newId, wallMs };
}
