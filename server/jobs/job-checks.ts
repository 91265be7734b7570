import type { CheckResult } from '../contract/checks.ts';
import { checkResultFromJson, checkResultToRow } from './check-result-rows.ts';
import { MAX_LISTED_RESULTS } from './check-result-store.ts';
import type { RecordParts } from './record-parts.ts';

/** The results of guided checks that jobs speak of: those of this bench, or those of all benches that share the record. */
export interface JobChecks {
  /** Of one visit, newest first, at most `MAX_LISTED_RESULTS`. */
  listForVisit(visitId: string): Promise<CheckResult[]>;
  get(id: string): Promise<CheckResult | null>;
  /** Takes in a result that was found elsewhere; one that is there already stays as it is. */
  put(result: CheckResult): Promise<void>;
}

const ROWS_PER_READ = 200;

/** Those that are in the record. */
export class RecordChecks implements JobChecks {
  readonly #parts: RecordParts;

  constructor(parts: RecordParts) {
    this.#parts = parts;
  }

  async listForVisit(visitId: string): Promise<CheckResult[]> {
    const rows = await this.#parts.db
      .selectFrom('check_results')
      .select('result_json')
      .where('visit_id', '=', visitId)
      .orderBy('result_no', 'desc')
      .limit(MAX_LISTED_RESULTS)
      .execute();
    return rows.flatMap((row) => checkResultFromJson(row.result_json) ?? []);
  }

  async get(id: string): Promise<CheckResult | null> {
    const row = await this.#parts.db
      .selectFrom('check_results')
      .select('result_json')
      .where('id', '=', id)
      .executeTakeFirst();
    return row === undefined ? null : checkResultFromJson(row.result_json);
  }

  put(result: CheckResult): Promise<void> {
    const { db, queue, write } = this.#parts;
    return queue.run(() =>
      write([
        {
          query: db
            .insertInto('check_results')
            .values(checkResultToRow(result))
            .onConflict((conflict) => conflict.column('id').doNothing()),
        },
      ]),
    );
  }

  /** All of them, oldest first, page by page. */
  async *all(): AsyncGenerator<CheckResult> {
    let after = 0;
    for (;;) {
      const rows = await this.#parts.db
        .selectFrom('check_results')
        .select(['result_no', 'result_json'])
        .where('result_no', '>', after)
        .orderBy('result_no')
        .limit(ROWS_PER_READ)
        .execute();
      for (const row of rows) {
        const result = checkResultFromJson(row.result_json);
        if (result !== null) yield result;
      }
      const last = rows.at(-1);
      if (last === undefined || rows.length < ROWS_PER_READ) return;
      after = last.result_no;
    }
  }
}
