import { randomUUID } from 'node:crypto';
import { join } from 'node:path';
import { CaptureRecords } from '../../../server/jobs/capture-records.ts';
import type { SampleChunk } from '../../../server/jobs/capture-store.ts';
import { migrate } from '../../../server/jobs/migrate.ts';
import { ALL_MIGRATIONS } from '../../../server/jobs/migrations/all-migrations.ts';
import { DATABASE_FILE } from '../../../server/jobs/open-store.ts';
import { openSqliteDatabase } from '../../../server/jobs/sqlite-database.ts';
import { header } from './capture-fixture.ts';

/** A data file as a program of that version left it when it was cut off: one capture, still recording. */
export function oldData(folder: string, version: number, chunk: SampleChunk): string {
  const database = openSqliteDatabase(join(folder, DATABASE_FILE));
  migrate(database, ALL_MIGRATIONS.slice(0, version));
  const captures = new CaptureRecords(database, randomUUID);
  const id = captures.begin(header);
  captures.append(id, chunk);
  database.close();
  return id;
}
