import { Kysely } from 'kysely';
import { JobRecords } from '../job-records.ts';
import type { RecordParts } from '../record-parts.ts';
import type { Tables } from '../tables.ts';
import type { RecordMoment } from '../transfer/record-moment.ts';
import { WriteQueue } from '../write-queue.ts';
import { postgresDialect } from './kysely-postgres-driver.ts';
import { RecordCaptures } from './record-captures.ts';
import { RecordPhotos } from './record-photos.ts';
import type { RecordsServer } from './records-server.ts';

/** The shared record as it is now, to be read alone while the benches go on writing. */
export async function momentOfRecord(server: RecordsServer): Promise<RecordMoment> {
  const { query, close } = await server.moment();
  const parts: RecordParts = {
    db: new Kysely<Tables>({ dialect: postgresDialect(query) }),
    queue: new WriteQueue(),
    write: () => Promise.reject(new Error('a moment is read alone')),
    newId: () => '',
    wallMs: () => 0,
  };
  const photos = new RecordPhotos(parts);
  const records = new JobRecords(parts, { photos, captures: new RecordCaptures(parts) });
  return { records, calibrations: null, close };
}
