import type { CompiledQuery } from 'kysely';
import { runCompiledQuery } from './kysely-sqlite-driver.ts';
import type { SqliteDatabase } from './sqlite-database.ts';

export interface Writable {
  compile(): CompiledQuery;
}

export interface WriteStep {
  readonly query: Writable;
  /** Rows that it has to change; where it does not, everything is undone. */
  readonly mustChange?: number;
}

/**
 * Writes that belong together: all or none, on the disk when this returns. Not asynchronous, so that no sample and no
 * other write of this process falls in between.
 * @returns false where a step did not change what it had to, then nothing was written
 */
export function writeTogether(database: SqliteDatabase, steps: Iterable<WriteStep>): boolean {
  try {
    database.transaction(() => {
      for (const { query, mustChange } of steps) {
        const { numAffectedRows } = runCompiledQuery(database, query.compile());
        if (mustChange !== undefined && numAffectedRows !== BigInt(mustChange)) throw new StepMissed();
      }
    });
    return true;
  } catch (error) {
    if (error instanceof StepMissed) return false;
    throw error;
  }
}

class StepMissed extends Error {}
