import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { once } from 'node:events';
import { chownSync, existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import pg from 'pg';
import { NOBODY } from '../child-process.ts';

const run = promisify(execFile);
const VERSIONS = '/usr/lib/postgresql';
export const USER = 'feeler_gauge';
export const PASSWORD = 'open-sesame';

/** Where Debian's packages put the newest server, or null where there is none. */
export function postgresFolder(): string | null {
  const versions = existsSync(VERSIONS) ? readdirSync(VERSIONS) : [];
  const found = versions
    .sort((a, b) => Number(b) - Number(a))
    .map((version) => join(VERSIONS, version, 'bin'))
    .find((folder) => existsSync(join(folder, 'postgres')));
  if (found === undefined && process.env.CI !== undefined)
    throw new Error('these tests need a PostgreSQL server: apt-get install postgresql');
  return found ?? null;
}

/** A real server with a cluster of its own in a temporary folder, reached by a socket in it alone. */
export class PostgresServer {
  readonly folder: string;
  readonly socket: string;
  readonly #bin: string;
  #process: ChildProcess | null = null;
  #databases = 0;

  private constructor(bin: string) {
    this.#bin = bin;
    this.folder = mkdtempSync(join(tmpdir(), 'idlewright-postgres-'));
    this.socket = join(this.folder, '.s.PGSQL.5432');
  }

  static async start(): Promise<PostgresServer> {
    const bin = postgresFolder();
    if (bin === null) throw new Error('there is no PostgreSQL server');
    const server = new PostgresServer(bin);
    const secret = join(server.folder, 'secret');
    writeFileSync(secret, PASSWORD);
    for (const path of [server.folder, secret]) if (isRoot()) chownSync(path, NOBODY, NOBODY);
    await run(
      join(bin, 'initdb'),
      [
        '-D',
        server.#data,
        '-U',
        USER,
        '-A',
        'scram-sha-256',
        `--pwfile=${secret}`,
        '-E',
        'UTF8',
        '--locale=C',
        '-N',
      ],
      { ...unprivileged(), cwd: server.folder },
    );
    await server.resume();
    return server;
  }

  /** Starts it again after `crash`. */
  async resume(): Promise<void> {
    const settings = ['listen_addresses=', 'fsync=off', 'shared_buffers=16MB', 'max_connections=40'];
    const child = spawn(
      join(this.#bin, 'postgres'),
      ['-D', this.#data, '-k', this.folder, ...settings.flatMap((setting) => ['-c', setting])],
      { ...unprivileged(), cwd: this.folder, stdio: ['ignore', 'ignore', 'pipe'] },
    );
    this.#process = child;
    let said = '';
    child.stderr.on('data', (bytes) => {
      said += bytes;
    });
    for (;;) {
      if (child.exitCode !== null) throw new Error(`the PostgreSQL server did not start: ${said}`);
      const answers = await this.sql('postgres', 'SELECT 1').then(
        () => true,
        () => false,
      );
      if (answers) return;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }

  async sql(database: string, text: string, values: unknown[] = []): Promise<Record<string, unknown>[]> {
    const client = new pg.Client({ host: this.folder, user: USER, password: PASSWORD, database });
    await client.connect();
    try {
      return (await client.query(text, values)).rows as Record<string, unknown>[];
    } finally {
      await client.end();
    }
  }

  /** A new and empty database. @returns its name */
  async newDatabase(): Promise<string> {
    const name = `shop_${++this.#databases}`;
    await this.sql('postgres', `CREATE DATABASE ${name}`);
    return name;
  }

  address(database: string): string {
    return `postgres:///${database}?host=${encodeURIComponent(this.folder)}&user=${USER}&password=${PASSWORD}`;
  }

  /** Ends it at once, with whatever it has open. */
  async crash(): Promise<void> {
    const child = this.#process;
    this.#process = null;
    if (child === null || child.exitCode !== null) return;
    const ended = once(child, 'exit');
    child.kill('SIGQUIT');
    await ended;
  }

  async stop(): Promise<void> {
    await this.crash();
    rmSync(this.folder, { recursive: true, force: true });
  }

  get #data(): string {
    return join(this.folder, 'data');
  }
}

const isRoot = () => process.getuid?.() === 0;
/** The server refuses to be run by root. */
const unprivileged = () => (isRoot() ? { uid: NOBODY, gid: NOBODY } : {});
