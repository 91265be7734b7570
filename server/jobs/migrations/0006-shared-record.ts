import type { Migration } from './migration.ts';

/** A bench remembers which captures are in which shared record; the shared record holds the photos themselves. */
export const sharedRecord: Migration = {
  version: 6,
  title: 'a job record shared by several benches',
  statements: [
    `CREATE TABLE capture_deliveries (
      capture_id TEXT NOT NULL,
      record_id TEXT NOT NULL,
      with_figures INTEGER NOT NULL,
      PRIMARY KEY (capture_id, record_id)
    ) STRICT`,
  ],
  onPostgres: [
    `CREATE TABLE photo_bytes (
      id TEXT COLLATE "C" NOT NULL PRIMARY KEY REFERENCES photos (id),
      bytes BYTEA NOT NULL
    )`,
  ],
};
