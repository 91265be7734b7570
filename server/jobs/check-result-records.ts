import Schema from 'typebox/schema';
import { type CheckKind, CheckResult } from '../contract/checks.ts';
import { type CheckResultStore, MAX_LISTED_RESULTS } from './check-result-store.ts';
import type { SqliteDatabase } from './sqlite-database.ts';

/** Results of checks in the database: each one JSON value, its kind and visit beside it to be found by. */
export class CheckResultRecords implements CheckResultStore {
  readonly #database: SqliteDatabase;
  readonly #newId: () => string;

  constructor(database: SqliteDatabase, newId: () => string) {
    this.#database = database;
    this.#newId = newId;
  }

  append(result: Omit<CheckResult, 'id'>): CheckResult {
    const whole: CheckResult = { ...result, id: this.#newId() };
    this.#database
      .prepare(
        `INSERT INTO check_results (id, kind, verdict, practice, visit_id, made_at_ms, result_json)
         VALUES (?, ?, ?, ?, ?, ?, ?)`,
      )
      .run(
        whole.id,
        whole.kind,
        whole.verdict,
        whole.practice ? 1 : 0,
        whole.visitId,
        whole.madeAtMs,
        JSON.stringify(whole),
      );
    return whole;
  }

  get(id: string): CheckResult | null {
    const row = this.#database.prepare('SELECT result_json FROM check_results WHERE id = ?').get(id);
    return row === undefined ? null : read(row.result_json);
  }

  list(filter: { readonly visitId?: string; readonly kind?: CheckKind } = {}): CheckResult[] {
    const { visitId = null, kind = null } = filter;
    return this.#database
      .prepare(
        `SELECT result_json FROM check_results WHERE (? IS NULL OR visit_id = ?) AND (? IS NULL OR kind = ?)
         ORDER BY result_no DESC LIMIT ?`,
      )
      .all(visitId, visitId, kind, kind, MAX_LISTED_RESULTS)
      .flatMap((row) => read(row.result_json) ?? []);
  }
}

/** What another version wrote in a way that is not known here is left where it is and not shown. */
function read(json: unknown): CheckResult | null {
  const value: unknown = JSON.parse(String(json));
  return Schema.Check(CheckResult, value) ? value : null;
}
