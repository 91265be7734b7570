/** Kysely on our SQLite connection. The queries themselves know nothing of it and run on PostgreSQL as well. */
import {
  type CompiledQuery,
  type DatabaseConnection,
  type Dialect,
  type Driver,
  type Kysely,
  type QueryResult,
  SqliteAdapter,
  SqliteIntrospector,
  SqliteQueryCompiler,
} from 'kysely';
import type { SqliteDatabase } from './sqlite-database.ts';

/** The connection stays with whoever opened it: `destroy` does not close it. */
export function sqliteDialect(database: SqliteDatabase): Dialect {
  return {
    createAdapter: () => new SqliteAdapter(),
    createDriver: () => new SqliteConnectionDriver(database),
    createIntrospector: (db: Kysely<unknown>) => new SqliteIntrospector(db),
    createQueryCompiler: () => new SqliteQueryCompiler(),
  };
}

/** Runs one compiled query at once. Shared with `write-together.ts`, which needs no promise in between. */
export function runCompiledQuery<R>(database: SqliteDatabase, query: CompiledQuery<R>): QueryResult<R> {
  const statement = database.prepare(query.sql);
  if (statement.answersRows) {
    const rows = statement.all(...query.parameters) as R[];
    return { rows, numAffectedRows: BigInt(rows.length) };
  }
  const { changes } = statement.run(...query.parameters);
  return { rows: [], numAffectedRows: BigInt(changes) };
}

class SqliteConnectionDriver implements Driver {
  readonly #connection: DatabaseConnection;

  constructor(database: SqliteDatabase) {
    this.#connection = {
      executeQuery: async <R>(query: CompiledQuery) => runCompiledQuery(database, query as CompiledQuery<R>),
      async *streamQuery<R>(query: CompiledQuery): AsyncIterableIterator<QueryResult<R>> {
        yield runCompiledQuery(database, query as CompiledQuery<R>);
      },
    };
  }

  async init(): Promise<void> {}

  async acquireConnection(): Promise<DatabaseConnection> {
    return this.#connection;
  }

  // Samples are written on the same connection between two promises of a transaction that waits: they would be
  // undone with it. Hence writes that belong together are one synchronous step, see `write-together.ts`.
  async beginTransaction(): Promise<void> {
    throw new Error('use writeTogether for writes that belong together');
  }

  async commitTransaction(): Promise<void> {}
  async rollbackTransaction(): Promise<void> {}
  async releaseConnection(): Promise<void> {}
  async destroy(): Promise<void> {}
}
