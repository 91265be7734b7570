import type { Migration } from './migration.ts';

/** `figures_json` holds what lists show; `chunk_no` counts the chunks of a capture from 0. */
export const captures: Migration = {
  version: 1,
  title: 'captures and their raw samples',
  statements: [
    `CREATE TABLE captures (
      capture_no INTEGER PRIMARY KEY AUTOINCREMENT,
      id TEXT NOT NULL UNIQUE,
      label TEXT NOT NULL,
      state TEXT NOT NULL,
      practice INTEGER NOT NULL,
      source_address TEXT NOT NULL,
      started_at_ms INTEGER NOT NULL,
      cylinders INTEGER NOT NULL,
      visit_id TEXT,
      software_version TEXT NOT NULL,
      header_json TEXT NOT NULL,
      figures_json TEXT,
      samples INTEGER NOT NULL,
      chunks INTEGER NOT NULL,
      first_ticks INTEGER,
      last_ticks INTEGER
    ) STRICT`,
    'CREATE INDEX captures_by_start ON captures (started_at_ms)',
    'CREATE INDEX captures_by_visit ON captures (visit_id) WHERE visit_id IS NOT NULL',
    `CREATE INDEX captures_recording ON captures (state) WHERE state = 'recording'`,
    `CREATE TABLE capture_chunks (
      capture_no INTEGER NOT NULL REFERENCES captures (capture_no) ON DELETE CASCADE,
      chunk_no INTEGER NOT NULL,
      bytes BLOB NOT NULL,
      PRIMARY KEY (capture_no, chunk_no)
    ) STRICT`,
  ],
};
