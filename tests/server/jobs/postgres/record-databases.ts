import { systemClock } from '../../../../server/clock.ts';
import type { Store } from '../../../../server/jobs/open-store.ts';
import { parseRecordsAddress } from '../../../../server/jobs/postgres/records-address.ts';
import { type SharedStore, shareRecords } from '../../../../server/jobs/postgres/share-records.ts';
import { open } from '../capture-fixture.ts';
import { PostgresServer, postgresFolder } from './postgres-server.ts';

export interface OpenRecord {
  readonly store: Store;
  readonly close: () => Promise<void>;
}

/** What a job record can stand on. */
export interface RecordDatabase {
  readonly name: string;
  /** An empty record for a bench with this data folder. */
  readonly open: (folder: string) => Promise<OpenRecord>;
  readonly stop: () => Promise<void>;
}

/** Each kind that there is on this computer; in CI all of them have to be there. */
export const RECORD_DATABASES: readonly RecordDatabase[] = [
  {
    name: 'SQLite',
    open: async (folder) => {
      const store = await open(folder);
      return { store, close: async () => store.close() };
    },
    stop: async () => {},
  },
  ...(postgresFolder() === null ? [] : [onPostgres()]),
];

function onPostgres(): RecordDatabase {
  let starting: Promise<PostgresServer> | null = null;
  return {
    name: 'PostgreSQL',
    open: async (folder) => {
      starting ??= PostgresServer.start();
      const server = await starting;
      const bench = await openBench(folder, server.address(await server.newDatabase()));
      return { store: bench.shared.store, close: bench.close };
    },
    stop: async () => {
      await (await starting)?.stop();
    },
  };
}

export interface Bench {
  readonly own: Store;
  readonly shared: SharedStore;
  readonly log: string[];
  readonly close: () => Promise<void>;
}

/** A bench with its data folder and the record at this address. */
export async function openBench(
  folder: string,
  url: string,
  options: Partial<Parameters<typeof shareRecords>[1]> = {},
): Promise<Bench> {
  const own = await open(folder);
  const address = parseRecordsAddress(url);
  if (address === null) throw new Error('no address of a record');
  const log: string[] = [];
  const shared = shareRecords(own, {
    address,
    clock: systemClock,
    log: (text) => log.push(text),
    ...options,
  });
  const close = async () => {
    await shared.close();
    own.close();
  };
  return { own, shared, log, close };
}
