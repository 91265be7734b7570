import type { Kysely } from 'kysely';
import type { MachineRow } from '../contract/jobs-views.ts';
import { DEFAULT_PAGE_ROWS, MAX_PAGE_ROWS, type Page, type PracticeFilter } from './list-page.ts';
import { idsWith, isSearchable } from './search-index.ts';
import type { Tables } from './tables.ts';

export interface MachineQuestion {
  readonly q?: string;
  readonly ownerId?: string;
  readonly practice?: PracticeFilter;
  readonly offset?: number;
  readonly limit?: number;
}

/** Machines by make and model. */
export async function listMachines(db: Kysely<Tables>, question: MachineQuestion): Promise<Page<MachineRow>> {
  const offset = question.offset ?? 0;
  let query = db.selectFrom('machines').leftJoin('owners', 'owners.id', 'machines.owner_id');
  const practice = question.practice ?? 'without';
  if (practice !== 'with') query = query.where('machines.practice', '=', practice === 'only' ? 1 : 0);
  if (question.ownerId !== undefined) query = query.where('machines.owner_id', '=', question.ownerId);
  if (question.q !== undefined && isSearchable(question.q)) {
    query = query.where('machines.id', 'in', idsWith(db, 'machine', question.q));
  }
  const { total } = await query.select((e) => e.fn.countAll<number>().as('total')).executeTakeFirstOrThrow();
  const rows = await query
    .select([
      'machines.id',
      'machines.make',
      'machines.model',
      'machines.year',
      'machines.plate',
      'machines.frame_number',
      'machines.practice',
      'machines.owner_id',
      'owners.name as owner_name',
    ])
    .select((e) => [
      e
        .selectFrom('visits')
        .select((inner) => inner.fn.countAll<number>().as('n'))
        .whereRef('visits.machine_id', '=', 'machines.id')
        .as('visits'),
      e
        .selectFrom('visits')
        .select((inner) => inner.fn.max('visits.day').as('day'))
        .whereRef('visits.machine_id', '=', 'machines.id')
        .as('last_visit_day'),
    ])
    .orderBy('machines.make')
    .orderBy('machines.model')
    .orderBy('machines.id')
    .limit(Math.min(question.limit ?? DEFAULT_PAGE_ROWS, MAX_PAGE_ROWS))
    .offset(offset)
    .execute();
  return {
    total: Number(total),
    offset,
    rows: rows.map((row) => ({
      id: row.id,
      make: row.make,
      model: row.model,
      year: row.year,
      plate: row.plate,
      frameNumber: row.frame_number,
      practice: row.practice === 1,
      ownerId: row.owner_id,
      owner: row.owner_name,
      visits: Number(row.visits ?? 0),
      lastVisitDay: row.last_visit_day,
    })),
  };
}
