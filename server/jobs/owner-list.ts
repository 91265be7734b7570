import type { Kysely } from 'kysely';
import type { Owner } from '../contract/jobs.ts';
import { DEFAULT_PAGE_ROWS, MAX_PAGE_ROWS, type Page } from './list-page.ts';
import { ownerFromRow } from './record-rows.ts';
import { idsWith, isSearchable } from './search-index.ts';
import type { Tables } from './tables.ts';

/** Owners by name, for choosing one. */
export async function listOwners(
  db: Kysely<Tables>,
  question: { readonly q?: string; readonly offset?: number; readonly limit?: number },
): Promise<Page<Owner>> {
  const offset = question.offset ?? 0;
  let query = db.selectFrom('owners');
  if (question.q !== undefined && isSearchable(question.q)) {
    query = query.where('owners.id', 'in', idsWith(db, 'owner', question.q));
  }
  const { total } = await query.select((e) => e.fn.countAll<number>().as('total')).executeTakeFirstOrThrow();
  const rows = await query
    .selectAll()
    .orderBy('name')
    .orderBy('id')
    .limit(Math.min(question.limit ?? DEFAULT_PAGE_ROWS, MAX_PAGE_ROWS))
    .offset(offset)
    .execute();
  return { total: Number(total), offset, rows: rows.map(ownerFromRow) };
}
