import { AsyncLocalStorage } from 'node:async_hooks';
import pg from 'pg';
import type { Migration } from '../migrations/migration.ts';
import { TextWithNul } from '../sqlite-database.ts';
import { migratePostgres, SCHEMA } from './migrate-postgres.ts';
import { RecordsTrouble, recordsTrouble } from './records-trouble.ts';

export interface RecordsServerOptions {
  readonly connectionString: string;
  readonly migrations: readonly Migration[];
}

export interface SqlAnswer<R> {
  readonly rows: R[];
  readonly changed: number;
}

const CONNECTIONS = 4;
const CONNECT_WITHIN_MS = 3000;
const ANSWER_WITHIN_MS = 20_000;
/** A bench that falls silent in the middle of a change holds up the others for this long at most [ms]. */
const SILENT_IN_CHANGE_MS = 10_000;
/** How long an export waits for whoever takes it [ms]. */
const SLOW_READER_MS = 600_000;
const LOOKS_FOR_OUTCOME = 20;
const LOOK_EVERY_MS = 100;
const INT8_OID = 20;

/** Connections to the server of the shared record; they come and go with the network. */
export class RecordsServer {
  readonly #pool: pg.Pool;
  readonly #migrations: readonly Migration[];
  readonly #held = new AsyncLocalStorage<pg.PoolClient>();
  readonly #busy = new Set<pg.PoolClient>();
  #ready: Promise<string> | null = null;
  #recordId: string | null = null;
  #closed = false;

  constructor({ connectionString, migrations }: RecordsServerOptions) {
    this.#migrations = migrations;
    this.#pool = new pg.Pool({
      connectionString,
      max: CONNECTIONS,
      connectionTimeoutMillis: CONNECT_WITHIN_MS,
      query_timeout: ANSWER_WITHIN_MS,
      keepAlive: true,
      application_name: 'idlewright',
      options: `-c search_path=${SCHEMA} -c lock_timeout=${ANSWER_WITHIN_MS} -c statement_timeout=${ANSWER_WITHIN_MS} -c idle_in_transaction_session_timeout=${SILENT_IN_CHANGE_MS}`,
      types: { getTypeParser: typeParser },
    });
    // An idle connection that breaks is replaced when the next one is needed.
    this.#pool.on('error', () => {});
  }

  /** null as long as the server was never reached. */
  get recordId(): string | null {
    return this.#recordId;
  }

  /** Brings the database up to date once. @returns the id of this record */
  ready(): Promise<string> {
    const opening = this.#ready ?? this.#withClient((client) => this.#upToDate(client));
    this.#ready = opening;
    opening.then(
      (id) => {
        this.#recordId = id;
      },
      () => {
        if (this.#ready === opening) this.#ready = null;
      },
    );
    return opening;
  }

  /**
   * One statement, on the connection of the transaction that is under way here, or on any.
   * @throws RecordsTrouble
   */
  async query<R>(sql: string, values: readonly unknown[]): Promise<SqlAnswer<R>> {
    if (values.some((value) => typeof value === 'string' && value.includes('\0'))) throw new TextWithNul();
    const held = this.#held.getStore();
    if (held !== undefined) return answered<R>(held, sql, values);
    await this.ready();
    let connected = false;
    try {
      return await this.#withClient((client) => {
        connected = true;
        return answered<R>(client, sql, values);
      });
    } catch (error) {
      // Only reads come without a transaction: a connection that had gone stale unnoticed is no reason to give up.
      if (!connected || !(error instanceof RecordsTrouble)) throw error;
      return this.#withClient((client) => answered<R>(client, sql, values));
    }
  }

  /**
   * All of `work` or nothing of it; queries within run on its connection. Where the connection breaks while the end is
   * being written, the server is asked afterwards what came of it.
   * @throws RecordsTrouble
   */
  async transaction<T>(work: () => Promise<T>): Promise<T> {
    await this.ready();
    let ending: { readonly value: T; readonly transactionId: string | null } | null = null;
    try {
      return await this.#withClient(async (client) => {
        await send(client, 'BEGIN');
        const value = await this.#held.run(client, work).catch(async (error: unknown) => {
          if (!(error instanceof RecordsTrouble)) await send(client, 'ROLLBACK');
          throw error;
        });
        const { rows } = await send<{ id: string | null }>(
          client,
          'SELECT pg_current_xact_id_if_assigned()::text AS id',
        );
        ending = { value, transactionId: rows[0]?.id ?? null };
        const { command } = await send(client, 'COMMIT');
        if (command !== 'COMMIT') throw new Error('a failed statement was passed over');
        return value;
      });
    } catch (error) {
      const begun = ending as { readonly value: T; readonly transactionId: string | null } | null;
      if (!(error instanceof RecordsTrouble) || begun === null || begun.transactionId === null) throw error;
      if (await this.#wasCommitted(begun.transactionId)) return begun.value;
      throw error;
    }
  }

  /** A connection that shows one moment and only reads, until it is closed. */
  async moment(): Promise<{ query: RecordsServer['query']; close: () => Promise<void> }> {
    await this.ready();
    const client = await this.#connect();
    try {
      await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
      // Who takes the export may be slow.
      await client.query(`SET LOCAL idle_in_transaction_session_timeout = ${SLOW_READER_MS}`);
    } catch (error) {
      this.#release(client, true);
      throw recordsTrouble(error) ?? error;
    }
    return {
      query: (sql, values) => answered(client, sql, values),
      close: async () => {
        const broken = await client.query('ROLLBACK').then(
          () => false,
          () => true,
        );
        this.#release(client, broken);
      },
    };
  }

  /** What is under way is broken off. */
  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    for (const client of this.#busy) void (client as unknown as pg.Client).end().catch(() => {});
    await this.#pool.end();
  }

  async #upToDate(client: pg.PoolClient): Promise<string> {
    try {
      return await migratePostgres(client, this.#migrations);
    } catch (error) {
      throw recordsTrouble(error) ?? error;
    }
  }

  async #wasCommitted(transactionId: string): Promise<boolean> {
    for (let look = 0; look < LOOKS_FOR_OUTCOME; look++) {
      const status = await this.#withClient((client) =>
        send<{ status: string | null }>(client, 'SELECT pg_xact_status($1::text::xid8) AS status', [
          transactionId,
        ]),
      ).then(
        ({ rows }) => rows[0]?.status ?? null,
        () => null,
      );
      if (status === 'committed') return true;
      if (status === 'aborted') return false;
      await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
    }
    throw new RecordsTrouble('records-unsure', 'the end of a change was not answered');
  }

  async #connect(): Promise<pg.PoolClient> {
    if (this.#closed) throw new RecordsTrouble('records-unreachable', 'stopped');
    try {
      const client = await this.#pool.connect();
      client.on('error', ignore);
      this.#busy.add(client);
      return client;
    } catch (error) {
      throw recordsTrouble(error) ?? error;
    }
  }

  #release(client: pg.PoolClient, broken: boolean): void {
    this.#busy.delete(client);
    client.release(broken);
    client.off('error', ignore);
  }

  async #withClient<T>(work: (client: pg.PoolClient) => Promise<T>): Promise<T> {
    const client = await this.#connect();
    let broken = false;
    try {
      return await work(client);
    } catch (error) {
      broken = error instanceof RecordsTrouble;
      throw error;
    } finally {
      this.#release(client, broken);
    }
  }
}

/** While it is lent out a broken connection is told by the query that fails. */
const ignore = () => {};

async function send<R extends pg.QueryResultRow>(
  client: pg.ClientBase,
  sql: string,
  values: readonly unknown[] = [],
): Promise<pg.QueryResult<R>> {
  try {
    return await client.query<R>(sql, [...values]);
  } catch (error) {
    throw recordsTrouble(error) ?? error;
  }
}

async function answered<R>(
  client: pg.ClientBase,
  sql: string,
  values: readonly unknown[],
): Promise<SqlAnswer<R>> {
  const { rows, rowCount } = await send(client, sql, values);
  return { rows: rows as R[], changed: rowCount ?? 0 };
}

/** Whole numbers come as numbers: what we count stays far below 2^53. */
function typeParser(oid: number, format?: 'text' | 'binary') {
  return oid === INT8_OID ? Number : pg.types.getTypeParser(oid, format as 'text');
}
