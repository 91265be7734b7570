import type { Migration } from './migration.ts';

/** Results of guided checks: the whole result as JSON, and beside it what it is found by. */
export const checkResults: Migration = {
  version: 5,
  title: 'results of guided checks',
  statements: [
    `CREATE TABLE check_results (
      result_no INTEGER PRIMARY KEY AUTOINCREMENT,
      id TEXT NOT NULL UNIQUE,
      kind TEXT NOT NULL,
      verdict TEXT NOT NULL,
      practice INTEGER NOT NULL,
      visit_id TEXT,
      made_at_ms INTEGER NOT NULL,
      result_json TEXT NOT NULL
    ) STRICT`,
    'CREATE INDEX check_results_by_visit ON check_results (visit_id) WHERE visit_id IS NOT NULL',
    'CREATE INDEX check_results_by_kind ON check_results (kind, result_no)',
  ],
  onPostgres: [],
};
