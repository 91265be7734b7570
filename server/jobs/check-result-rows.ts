import type { Insertable } from 'kysely';
import Schema from 'typebox/schema';
import { CheckResult } from '../contract/checks.ts';
import type { CheckResultRow } from './tables.ts';

/** The whole result as JSON, and beside it what it is found by. */
export function checkResultToRow(result: CheckResult): Insertable<CheckResultRow> {
  return {
    id: result.id,
    kind: result.kind,
    verdict: result.verdict,
    practice: result.practice ? 1 : 0,
    visit_id: result.visitId,
    made_at_ms: result.madeAtMs,
    result_json: JSON.stringify(result),
  };
}

/** What another version wrote in a way that is not known here is left where it is and not shown. */
export function checkResultFromJson(json: unknown): CheckResult | null {
  const value: unknown = JSON.parse(String(json));
  return Schema.Check(CheckResult, value) ? value : null;
}
