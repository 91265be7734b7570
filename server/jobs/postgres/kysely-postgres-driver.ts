/** Kysely on the connections of the shared record. */
import {
  type CompiledQuery,
  type DatabaseConnection,
  type Dialect,
  type Driver,
  type Kysely,
  PostgresAdapter,
  PostgresIntrospector,
  PostgresQueryCompiler,
  type QueryResult,
} from 'kysely';
import type { RecordsServer } from './records-server.ts';

/** @param query runs one statement; which connection it takes is its own affair */
export function postgresDialect(query: RecordsServer['query']): Dialect {
  return {
    createAdapter: () => new PostgresAdapter(),
    createDriver: () => new ServerDriver(query),
    createIntrospector: (db: Kysely<unknown>) => new PostgresIntrospector(db),
    createQueryCompiler: () => new PostgresQueryCompiler(),
  };
}

class ServerDriver implements Driver {
  readonly #connection: DatabaseConnection;

  constructor(query: RecordsServer['query']) {
    const executeQuery = async <R>({ sql, parameters }: CompiledQuery): Promise<QueryResult<R>> => {
      const { rows, changed } = await query<R>(sql, parameters);
      return { rows, numAffectedRows: BigInt(changed) };
    };
    this.#connection = {
      executeQuery,
      async *streamQuery<R>(compiled: CompiledQuery): AsyncIterableIterator<QueryResult<R>> {
        yield await executeQuery<R>(compiled);
      },
    };
  }

  async init(): Promise<void> {}

  async acquireConnection(): Promise<DatabaseConnection> {
    return this.#connection;
  }

  async beginTransaction(): Promise<void> {
    throw new Error('writes that belong together go through a change of the queue');
  }

  async commitTransaction(): Promise<void> {}
  async rollbackTransaction(): Promise<void> {}
  async releaseConnection(): Promise<void> {}
  async destroy(): Promise<void> {}
}
