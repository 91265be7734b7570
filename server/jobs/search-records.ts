import type { Kysely } from 'kysely';
import type { SearchHit } from '../contract/jobs-views.ts';
import type { PracticeFilter } from './list-page.ts';
import { bestHits, isSearchable } from './search-index.ts';
import { machineTitle } from './search-words.ts';
import type { Tables } from './tables.ts';

const MAX_HITS = 50;

/** Everything that holds all the words, best first. */
export async function searchRecords(
  db: Kysely<Tables>,
  question: string,
  practice: PracticeFilter = 'without',
): Promise<SearchHit[]> {
  if (!isSearchable(question)) return [];
  const hits = await bestHits(db, question, MAX_HITS);
  const idsOf = (kind: string) => hits.filter((hit) => hit.kind === kind).map((hit) => hit.recordId);
  const titles = new Map<string, { title: string; practice: boolean }>();
  const visits = idsOf('visit');
  if (visits.length > 0) {
    const rows = await db
      .selectFrom('visits')
      .innerJoin('machines', 'machines.id', 'visits.machine_id')
      .select(['visits.id', 'visits.day', 'visits.practice', 'make', 'model', 'year'])
      .where('visits.id', 'in', visits)
      .execute();
    for (const row of rows) {
      titles.set(row.id, { title: `${row.day} ${machineTitle(row)}`, practice: row.practice === 1 });
    }
  }
  const machines = idsOf('machine');
  if (machines.length > 0) {
    const rows = await db
      .selectFrom('machines')
      .select(['id', 'make', 'model', 'year', 'practice'])
      .where('id', 'in', machines)
      .execute();
    for (const row of rows) titles.set(row.id, { title: machineTitle(row), practice: row.practice === 1 });
  }
  const owners = idsOf('owner');
  if (owners.length > 0) {
    const rows = await db.selectFrom('owners').select(['id', 'name']).where('id', 'in', owners).execute();
    for (const row of rows) titles.set(row.id, { title: row.name, practice: false });
  }
  return hits.flatMap(({ kind, recordId, snippet }) => {
    const found = titles.get(recordId);
    if (found === undefined) return [];
    if (practice !== 'with' && found.practice !== (practice === 'only')) return [];
    return [{ kind, id: recordId, title: found.title, snippet }];
  });
}
