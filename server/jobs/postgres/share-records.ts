import { randomUUID } from 'node:crypto';
import type { Clock } from '../../clock.ts';
import { RecordChecks } from '../job-checks.ts';
import { JobRecords } from '../job-records.ts';
import { ALL_MIGRATIONS } from '../migrations/all-migrations.ts';
import type { Migration } from '../migrations/migration.ts';
import type { Store } from '../open-store.ts';
import type { BackupWish } from '../shop-records.ts';
import { BenchDelivery } from './bench-delivery.ts';
import { BenchOutbox } from './bench-outbox.ts';
import { momentOfRecord } from './moment-of-record.ts';
import { RecordCaptures } from './record-captures.ts';
import { RecordPhotos } from './record-photos.ts';
import type { RecordsAddress } from './records-address.ts';
import { RecordsServer } from './records-server.ts';
import { SharedCaptures } from './shared-captures.ts';
import { SharedChecks } from './shared-checks.ts';
import { sharedParts } from './shared-parts.ts';

export interface ShareRecordsOptions {
  readonly address: RecordsAddress;
  readonly clock: Clock;
  readonly log: (text: string) => void;
  readonly newId?: () => string;
  readonly migrations?: readonly Migration[];
}

export interface SharedStore {
  /** The bench's own store with the shared job record in place of its own. */
  readonly store: Store;
  readonly delivery: BenchDelivery;
  /** Server and database, fit to be shown. */
  readonly shown: string;
  /** Whether all went well at the last look. */
  readonly reached: boolean;
  /** Captures of this bench that are not in the record yet; null while it was never reached. */
  waiting(): number | null;
  /** Ends delivery and connections; the bench's own store stays open. */
  close(): Promise<void>;
}

/**
 * Puts the job record of all benches in the place of the bench's own. Captures, set-up, calibrations and checks are kept on
 * the bench; captures and results of checks are delivered to the record. Connects by itself when it is needed, so that a bench starts without a network as well.
 */
export function shareRecords(bench: Store, options: ShareRecordsOptions): SharedStore {
  const { address, clock, log } = options;
  const server = new RecordsServer({
    connectionString: address.connectionString,
    migrations: options.migrations ?? ALL_MIGRATIONS,
  });
  const parts = sharedParts(server, options.newId ?? randomUUID, () => clock.wallMs());
  const outbox = new BenchOutbox(bench.database);
  const record = new RecordCaptures(parts);
  const recordChecks = new RecordChecks(parts);
  const delivery = new BenchDelivery({ server, outbox, captures: record, checks: recordChecks, clock, log });
  const records = new JobRecords(parts, {
    photos: new RecordPhotos(parts),
    captures: new SharedCaptures({ record, bench: bench.captures, delivery }),
    checks: new SharedChecks(recordChecks, bench.checkResults),
    backupWish: ownBackupWish(bench),
  });
  return {
    store: { ...bench, records, openMoment: () => momentOfRecord(server) },
    delivery,
    shown: address.shown,
    get reached() {
      return server.recordId !== null && delivery.trouble === null;
    },
    waiting: () => (server.recordId === null ? null : outbox.waiting(server.recordId).length),
    close: async () => {
      await Promise.all([server.close(), delivery.stop()]);
    },
  };
}

/** In the bench's own settings. */
function ownBackupWish({ records: { shop } }: Store): BackupWish {
  return {
    get: async () => (await shop.get()).backup,
    set: async (backup) => {
      const { revision, ...fields } = await shop.get();
      await shop.change(revision, { ...fields, backup });
    },
  };
}
