import { Kysely } from 'kysely';
import { type RecordParts, WriteMissed } from '../record-parts.ts';
import type { Tables } from '../tables.ts';
import { type ChangeQueue, WriteQueue } from '../write-queue.ts';
import type { WriteStep } from '../write-together.ts';
import { postgresDialect } from './kysely-postgres-driver.ts';
import type { RecordsServer } from './records-server.ts';
import { isConflict } from './records-trouble.ts';

/** Any number, the same for every bench: one change at a time, whichever bench makes it. */
const CHANGE_LOCK = 0x49444c58;
const TRIES = 3;

/** The parts of a record that several benches share. */
export function sharedParts(server: RecordsServer, newId: () => string, wallMs: () => number): RecordParts {
  const db = new Kysely<Tables>({ dialect: postgresDialect((sql, values) => server.query(sql, values)) });
  const write = async (steps: Iterable<WriteStep>) => {
    for (const { query, mustChange } of steps) {
      const { sql, parameters } = query.compile();
      const { changed } = await server.query(sql, parameters);
      if (mustChange !== undefined && changed !== mustChange) throw new WriteMissed();
    }
  };
  return { db, queue: new SharedQueue(server), write, newId, wallMs };
}

/**
 * A change reads and writes in one transaction that holds the lock of all benches, so that what it has read still holds
 * when it writes, as with one bench alone.
 */
class SharedQueue implements ChangeQueue {
  readonly #server: RecordsServer;
  readonly #here = new WriteQueue();

  constructor(server: RecordsServer) {
    this.#server = server;
  }

  run<T>(change: () => Promise<T>): Promise<T> {
    return this.#here.run(() => this.#run(change, TRIES));
  }

  async #run<T>(change: () => Promise<T>, tries: number): Promise<T> {
    try {
      return await this.#server.transaction(async () => {
        await this.#server.query('SELECT pg_advisory_xact_lock($1)', [CHANGE_LOCK]);
        return change();
      });
    } catch (error) {
      if (tries > 1 && (error instanceof WriteMissed || isConflict(error)))
        return this.#run(change, tries - 1);
      throw error;
    }
  }
}
