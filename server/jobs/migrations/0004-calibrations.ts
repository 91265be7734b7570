import type { Migration } from './migration.ts';

/**
 * The calibrations of boards and what they were found from. A calibration that was made is never changed or
 * deleted, so that a capture can always be told what it was computed with; the triggers see to it.
 */
export const calibrations: Migration = {
  version: 4,
  title: 'calibrations of boards, their raw samples, sensor types that were entered',
  statements: [
    `CREATE TABLE calibrations (
      calibration_no INTEGER PRIMARY KEY AUTOINCREMENT,
      id TEXT NOT NULL UNIQUE,
      board_id TEXT NOT NULL,
      kind TEXT NOT NULL,
      made_at_ms INTEGER NOT NULL,
      technician TEXT,
      expires_at_ms INTEGER,
      practice INTEGER NOT NULL,
      software_version TEXT NOT NULL,
      board_json TEXT NOT NULL,
      evidence_json TEXT NOT NULL
    ) STRICT`,
    'CREATE INDEX calibrations_by_board ON calibrations (board_id, calibration_no)',
    `CREATE TABLE calibration_chunks (
      calibration_no INTEGER NOT NULL REFERENCES calibrations (calibration_no),
      chunk_no INTEGER NOT NULL,
      bytes BLOB NOT NULL,
      PRIMARY KEY (calibration_no, chunk_no)
    ) STRICT`,
    ...['calibrations', 'calibration_chunks'].flatMap((table) =>
      ['UPDATE', 'DELETE'].map(
        (change) => `CREATE TRIGGER ${table}_no_${change.toLowerCase()} BEFORE ${change} ON ${table} BEGIN
          SELECT RAISE (ABORT, 'a calibration that was made stays as it is');
        END`,
      ),
    ),
    `CREATE TABLE board_sensors (
      board_id TEXT NOT NULL,
      channel INTEGER NOT NULL,
      type_json TEXT,
      serial TEXT,
      entered_at_ms INTEGER NOT NULL,
      PRIMARY KEY (board_id, channel)
    ) STRICT`,
  ],
  onPostgres: [],
};
