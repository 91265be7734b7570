import type { CheckKind, CheckResult } from '../contract/checks.ts';
import { checkResultFromJson, checkResultToRow } from './check-result-rows.ts';
import { type CheckResultStore, MAX_LISTED_RESULTS } from './check-result-store.ts';
import type { SqliteDatabase } from './sqlite-database.ts';

/** Results of checks in the bench's own file. */
export class CheckResultRecords implements CheckResultStore {
  readonly #database: SqliteDatabase;
  readonly #newId: () => string;

  constructor(database: SqliteDatabase, newId: () => string) {
    this.#database = database;
    this.#newId = newId;
  }

  append(result: Omit<CheckResult, 'id'>): CheckResult {
    const whole: CheckResult = { ...result, id: this.#newId() };
    const { id, kind, verdict, practice, visit_id, made_at_ms, result_json } = checkResultToRow(whole);
    this.#database
      .prepare(
        `INSERT INTO check_results (id, kind, verdict, practice, visit_id, made_at_ms, result_json)
         VALUES (?, ?, ?, ?, ?, ?, ?)`,
      )
      .run(id, kind, verdict, practice, visit_id, made_at_ms, result_json);
    return whole;
  }

  get(id: string): CheckResult | null {
    const row = this.#database.prepare('SELECT result_json FROM check_results WHERE id = ?').get(id);
    return row === undefined ? null : checkResultFromJson(row.result_json);
  }

  list(filter: { readonly visitId?: string; readonly kind?: CheckKind } = {}): CheckResult[] {
    const { visitId = null, kind = null } = filter;
    return this.#database
      .prepare(
        `SELECT result_json FROM check_results WHERE (? IS NULL OR visit_id = ?) AND (? IS NULL OR kind = ?)
         ORDER BY result_no DESC LIMIT ?`,
      )
      .all(visitId, visitId, kind, kind, MAX_LISTED_RESULTS)
      .flatMap((row) => checkResultFromJson(row.result_json) ?? []);
  }
}
