import { join } from 'node:path';
import { CalibrationRecords } from '../calibration-records.ts';
import { CaptureRecords } from '../capture-records.ts';
import { JobRecords } from '../job-records.ts';
import { PhotoStore } from '../photo-store.ts';
import { recordParts } from '../record-parts.ts';
import { openSqliteDatabase } from '../sqlite-database.ts';

/** The record as it was at one moment, to be read alone. */
export interface RecordMoment {
  readonly records: JobRecords;
  /** Of the boards of this bench; null where the record is shared, as boards belong to benches. */
  readonly calibrations: CalibrationRecords | null;
  close(): void | Promise<void>;
}

/** Of the file in a data folder, also while a service works with it. */
export async function momentOfFile(dataDir: string, databaseFile: string): Promise<RecordMoment> {
  const database = openSqliteDatabase(join(dataDir, databaseFile), { readOnly: true });
  database.exec('BEGIN');
  const parts = recordParts(
    database,
    () => '',
    () => 0,
  );
  const captures = new CaptureRecords(database, () => '');
  const records = new JobRecords(parts, { photos: new PhotoStore(parts, dataDir), captures });
  const calibrations = new CalibrationRecords(database, () => '');
  return { records, calibrations, close: () => database.close() };
}
