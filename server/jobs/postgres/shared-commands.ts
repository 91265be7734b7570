import { systemClock } from '../../clock.ts';
import { ALL_MIGRATIONS } from '../migrations/all-migrations.ts';
import type { Store } from '../open-store.ts';
import type { RecordMoment } from '../transfer/record-moment.ts';
import { momentOfRecord } from './moment-of-record.ts';
import type { RecordsAddress } from './records-address.ts';
import { RecordsServer } from './records-server.ts';
import { shareRecords } from './share-records.ts';

/** The shared record at one moment, with connections of its own. */
export async function momentAt({ connectionString }: RecordsAddress): Promise<RecordMoment> {
  const server = new RecordsServer({ connectionString, migrations: ALL_MIGRATIONS });
  try {
    const moment = await momentOfRecord(server);
    const close = async () => {
      await moment.close();
      await server.close();
    };
    return { ...moment, close };
  } catch (error) {
    await server.close();
    throw error;
  }
}

/** Lets `work` have the bench's store with the shared record in it, for one command. */
export async function withSharedRecord<T>(
  bench: Store,
  address: RecordsAddress,
  work: (store: Store) => Promise<T>,
): Promise<T> {
  const shared = shareRecords(bench, { address, clock: systemClock, log: () => {} });
  try {
    return await work(shared.store);
  } finally {
    await shared.close();
  }
}
