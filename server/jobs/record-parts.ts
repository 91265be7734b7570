import { Kysely } from 'kysely';
import { sqliteDialect } from './kysely-sqlite-driver.ts';
import type { SqliteDatabase } from './sqlite-database.ts';
import type { Tables } from './tables.ts';
import { type ChangeQueue, WriteQueue } from './write-queue.ts';
import { type WriteStep, writeTogether } from './write-together.ts';

/** What every part of the job record works with, whatever database is behind it. */
export interface RecordParts {
  readonly db: Kysely<Tables>;
  readonly queue: ChangeQueue;
  /**
   * Writes that belong together: all or none. Called within a change of `queue`, at its end.
   * @throws WriteMissed where a step did not change what it had to; nothing was written
   */
  readonly write: (steps: Iterable<WriteStep>) => Promise<void>;
  readonly newId: () => string;
  /** [ms since 1970] */
  readonly wallMs: () => number;
}

/** Somebody else changed between reading and writing. */
export class WriteMissed extends Error {
  constructor() {
    super('the entry is no longer what it was when it was read');
  }
}

/** Those of the bench's own file. */
export function recordParts(
  database: SqliteDatabase,
  newId: () => string,
  wallMs: () => number,
): RecordParts {
  const db = new Kysely<Tables>({ dialect: sqliteDialect(database) });
  const write = async (steps: Iterable<WriteStep>) => {
    if (!writeTogether(database, steps)) throw new WriteMissed();
  };
  return { db, queue: new WriteQueue(), write, newId, wallMs };
}
