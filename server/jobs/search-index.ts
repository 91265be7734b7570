/** The one file that knows how SQLite searches text; on PostgreSQL the same questions go to a tsvector. */
import { type Kysely, sql } from 'kysely';
import type { Tables } from './tables.ts';
import type { WriteStep } from './write-together.ts';

export type SearchKind = 'visit' | 'machine' | 'owner';

export const MAX_SEARCH_WORDS = 12;
const MAX_SEARCH_LENGTH = 200;
const SNIPPET_WORDS = 12;

/** Puts the words of an entry in place of those it had. */
export function indexStep(db: Kysely<Tables>, kind: SearchKind, recordId: string, words: string): WriteStep {
  return {
    query: db
      .insertInto('search_texts')
      .values({ record_id: recordId, kind, words })
      .onConflict((conflict) => conflict.column('record_id').doUpdateSet({ words })),
  };
}

export function unindexStep(db: Kysely<Tables>, recordId: string): WriteStep {
  return { query: db.deleteFrom('search_texts').where('record_id', '=', recordId) };
}

/** A subquery of the ids of the entries that hold every word, the last letters of each left open. */
export function idsWith(kind: SearchKind, question: string) {
  return sql<string>`(SELECT record_id FROM search_texts WHERE kind = ${kind} AND text_no IN
    (SELECT rowid FROM search_index WHERE search_index MATCH ${matchExpression(question)}))`;
}

export interface TextHit {
  readonly kind: SearchKind;
  readonly recordId: string;
  readonly snippet: string;
}

/** The best hits first. */
export async function bestHits(db: Kysely<Tables>, question: string, limit: number): Promise<TextHit[]> {
  const match = matchExpression(question);
  const { rows } = await sql<{ kind: SearchKind; record_id: string; snippet: string }>`
    SELECT texts.kind, texts.record_id, snippet(search_index, 0, '', '', '…', ${SNIPPET_WORDS}) AS snippet
    FROM search_index JOIN search_texts AS texts ON texts.text_no = search_index.rowid
    WHERE search_index MATCH ${match} ORDER BY rank LIMIT ${limit}`.execute(db);
  return rows.map((row) => ({ kind: row.kind, recordId: row.record_id, snippet: row.snippet }));
}

/** Where the words were met in these entries. */
export async function snippetsOf(
  db: Kysely<Tables>,
  question: string,
  recordIds: readonly string[],
): Promise<Map<string, string>> {
  if (recordIds.length === 0) return new Map();
  const { rows } = await sql<{ record_id: string; snippet: string }>`
    SELECT texts.record_id, snippet(search_index, 0, '', '', '…', ${SNIPPET_WORDS}) AS snippet
    FROM search_index JOIN search_texts AS texts ON texts.text_no = search_index.rowid
    WHERE search_index MATCH ${matchExpression(question)} AND texts.record_id IN (${sql.join(recordIds)})`.execute(
    db,
  );
  return new Map(rows.map((row) => [row.record_id, row.snippet]));
}

/** Each word quoted, so that nothing in it is taken for the index's own language; `*` leaves its end open. */
function matchExpression(question: string): string {
  return question
    .slice(0, MAX_SEARCH_LENGTH)
    .split(/\s+/)
    .filter((word) => /[\p{L}\p{N}]/u.test(word))
    .slice(0, MAX_SEARCH_WORDS)
    .map((word) => `"${word.replaceAll('"', '""')}"*`)
    .join(' ');
}

/** Whether there is a word to search for. */
export function isSearchable(question: string): boolean {
  return matchExpression(question) !== '';
}
