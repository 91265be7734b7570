/** The one file that knows how text is searched: SQLite has an FTS5 index, PostgreSQL a tsvector. */
import { type Kysely, PostgresAdapter, sql } from 'kysely';
import { searchQuery, searchSnippet, searchVector } from './search-terms.ts';
import type { Tables } from './tables.ts';
import type { WriteStep } from './write-together.ts';

export type SearchKind = 'visit' | 'machine' | 'owner';

export const MAX_SEARCH_WORDS = 12;
const MAX_SEARCH_LENGTH = 200;
const SNIPPET_WORDS = 12;

/** Puts the words of an entry in place of those it had. */
export function indexStep(db: Kysely<Tables>, kind: SearchKind, recordId: string, words: string): WriteStep {
  const said = onPostgres(db) ? { words, vector: sql<string>`${searchVector(words)}::tsvector` } : { words };
  return {
    query: db
      .insertInto('search_texts')
      .values({ record_id: recordId, kind, ...said })
      .onConflict((conflict) => conflict.column('record_id').doUpdateSet(said)),
  };
}

export function unindexStep(db: Kysely<Tables>, recordId: string): WriteStep {
  return { query: db.deleteFrom('search_texts').where('record_id', '=', recordId) };
}

/** A subquery of the ids of the entries that hold every word, the last letters of each left open. */
export function idsWith(db: Kysely<Tables>, kind: SearchKind, question: string) {
  if (onPostgres(db)) {
    return sql<string>`(SELECT record_id FROM search_texts WHERE kind = ${kind} AND vector @@ ${tsquery(question)})`;
  }
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
  if (onPostgres(db)) {
    const { rows } = await sql<{ kind: SearchKind; record_id: string; words: string }>`
      SELECT kind, record_id, words FROM search_texts WHERE vector @@ ${tsquery(question)}
      ORDER BY ts_rank(vector, ${tsquery(question)}) DESC, record_id LIMIT ${limit}`.execute(db);
    return rows.map((row) => ({
      kind: row.kind,
      recordId: row.record_id,
      snippet: searchSnippet(row.words, wordsOf(question), SNIPPET_WORDS),
    }));
  }
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
  if (onPostgres(db)) {
    const found = await db
      .selectFrom('search_texts')
      .select(['record_id', 'words'])
      .where('record_id', 'in', [...recordIds])
      .execute();
    const sought = wordsOf(question);
    return new Map(found.map((row) => [row.record_id, searchSnippet(row.words, sought, SNIPPET_WORDS)]));
  }
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
  return wordsOf(question)
    .map((word) => `"${word.replaceAll('"', '""')}"*`)
    .join(' ');
}

const tsquery = (question: string) => sql`${searchQuery(wordsOf(question))}::tsquery`;

function wordsOf(question: string): string[] {
  return question
    .slice(0, MAX_SEARCH_LENGTH)
    .split(/\s+/)
    .filter((word) => /[\p{L}\p{N}]/u.test(word))
    .slice(0, MAX_SEARCH_WORDS);
}

const onPostgres = (db: Kysely<Tables>): boolean => db.getExecutor().adapter instanceof PostgresAdapter;

/** Whether there is a word to search for. */
export function isSearchable(question: string): boolean {
  return matchExpression(question) !== '';
}
