import type { Kysely, SelectQueryBuilder } from 'kysely';
import type { NextDue, VisitState } from '../contract/jobs.ts';
import type { Odometer } from '../contract/jobs-values.ts';
import type { VisitRow } from '../contract/jobs-views.ts';
import { DEFAULT_PAGE_ROWS, MAX_PAGE_ROWS, type Page, type PracticeFilter } from './list-page.ts';
import { idsWith, isSearchable, snippetsOf } from './search-index.ts';
import { machineTitle } from './search-words.ts';
import type { Tables } from './tables.ts';

export type VisitSort = 'newest' | 'oldest' | 'changed' | 'machine' | 'owner' | 'state';

export interface VisitQuestion {
  /** Words that must all be met. */
  readonly q?: string;
  readonly states?: readonly VisitState[];
  readonly practice?: PracticeFilter;
  readonly machineId?: string;
  readonly ownerId?: string;
  readonly technician?: string;
  readonly fromDay?: string;
  readonly toDay?: string;
  /** Next due on or before this day. */
  readonly dueBy?: string;
  readonly sort?: VisitSort;
  readonly offset?: number;
  readonly limit?: number;
}

/** Jobs, newest first unless asked otherwise; practice jobs only where asked for. */
export async function listVisits(db: Kysely<Tables>, question: VisitQuestion): Promise<Page<VisitRow>> {
  const offset = question.offset ?? 0;
  const search = question.q !== undefined && isSearchable(question.q) ? question.q : null;
  const { total } = await matching(db, question, search)
    .select((e) => e.fn.countAll<number>().as('total'))
    .executeTakeFirstOrThrow();
  const ids = await pageIds(db, question, search, offset);
  const rows = await rowsOf(db, ids);
  const captures = await capturesPerVisit(db, ids);
  const snippets = search === null ? null : await snippetsOf(db, search, ids);
  return {
    total: Number(total),
    offset,
    rows: ids.flatMap((id) => {
      const row = rows.get(id);
      if (row === undefined) return [];
      const nextDue = JSON.parse(row.next_due_json) as NextDue;
      return [
        {
          id,
          day: row.day,
          state: row.state as VisitState,
          practice: row.practice === 1,
          complaint: row.complaint,
          technician: row.technician,
          updatedAtMs: row.updated_at_ms,
          machineId: row.machine_id,
          machine: machineTitle(row),
          plate: row.plate,
          frameNumber: row.frame_number,
          ownerId: row.owner_id,
          owner: row.owner_name,
          captures: captures.get(id) ?? 0,
          odometer: row.odometer_json === null ? null : (JSON.parse(row.odometer_json) as Odometer),
          nextDueDay: row.next_due_day,
          nextDueOdometer: nextDue.odometer,
          nextDueWhat: nextDue.what,
          snippet: snippets?.get(id) ?? null,
        },
      ];
    }),
  };
}

type VisitsQuery = SelectQueryBuilder<Tables, 'visits', object>;

function matching(db: Kysely<Tables>, question: VisitQuestion, search: string | null): VisitsQuery {
  let query: VisitsQuery = db.selectFrom('visits');
  const practice = question.practice ?? 'without';
  if (practice !== 'with') query = query.where('visits.practice', '=', practice === 'only' ? 1 : 0);
  const { states, machineId, ownerId, technician, fromDay, toDay, dueBy } = question;
  if (states !== undefined && states.length > 0) query = query.where('visits.state', 'in', [...states]);
  if (machineId !== undefined) query = query.where('visits.machine_id', '=', machineId);
  if (ownerId !== undefined) query = query.where('visits.owner_id', '=', ownerId);
  if (technician !== undefined) query = query.where('visits.technician', '=', technician);
  if (fromDay !== undefined) query = query.where('visits.day', '>=', fromDay);
  if (toDay !== undefined) query = query.where('visits.day', '<=', toDay);
  if (dueBy !== undefined) query = query.where('visits.next_due_day', '<=', dueBy);
  if (search !== null) query = query.where('visits.id', 'in', idsWith(db, 'visit', search));
  return query;
}

/** Only what the order needs is read of all that match; the rest of one page alone. */
async function pageIds(
  db: Kysely<Tables>,
  question: VisitQuestion,
  search: string | null,
  offset: number,
): Promise<string[]> {
  const limit = Math.min(question.limit ?? DEFAULT_PAGE_ROWS, MAX_PAGE_ROWS);
  const visits = matching(db, question, search).select('visits.id').limit(limit).offset(offset);
  const rows = await sorted(visits, question.sort ?? 'newest').execute();
  return rows.map((row) => row.id);
}

function sorted(visits: SelectQueryBuilder<Tables, 'visits', { id: string }>, sort: VisitSort) {
  switch (sort) {
    case 'newest':
      return visits
        .orderBy('visits.day', 'desc')
        .orderBy('visits.created_at_ms', 'desc')
        .orderBy('visits.id');
    case 'oldest':
      return visits.orderBy('visits.day').orderBy('visits.created_at_ms').orderBy('visits.id');
    case 'changed':
      return visits.orderBy('visits.updated_at_ms', 'desc').orderBy('visits.id');
    case 'machine':
      return visits
        .innerJoin('machines', 'machines.id', 'visits.machine_id')
        .orderBy('machines.make')
        .orderBy('machines.model')
        .orderBy('visits.day', 'desc')
        .orderBy('visits.id');
    case 'owner':
      return visits
        .leftJoin('owners', 'owners.id', 'visits.owner_id')
        .orderBy('owners.name', (order) => order.asc().nullsFirst())
        .orderBy('visits.day', 'desc')
        .orderBy('visits.id');
    case 'state':
      return visits.orderBy('visits.state').orderBy('visits.day', 'desc').orderBy('visits.id');
  }
}

async function rowsOf(db: Kysely<Tables>, ids: readonly string[]) {
  if (ids.length === 0) return new Map<string, never>();
  const rows = await db
    .selectFrom('visits')
    .innerJoin('machines', 'machines.id', 'visits.machine_id')
    .leftJoin('owners', 'owners.id', 'visits.owner_id')
    .select([
      'visits.id',
      'visits.day',
      'visits.state',
      'visits.practice',
      'visits.complaint',
      'visits.technician',
      'visits.updated_at_ms',
      'visits.machine_id',
      'visits.owner_id',
      'visits.odometer_json',
      'visits.next_due_day',
      'visits.next_due_json',
      'machines.make',
      'machines.model',
      'machines.year',
      'machines.plate',
      'machines.frame_number',
      'owners.name as owner_name',
    ])
    .where('visits.id', 'in', [...ids])
    .execute();
  return new Map(rows.map((row) => [row.id, row]));
}

async function capturesPerVisit(db: Kysely<Tables>, ids: readonly string[]): Promise<Map<string, number>> {
  if (ids.length === 0) return new Map();
  const counts = await db
    .selectFrom('captures')
    .select(['visit_id', (e) => e.fn.countAll<number>().as('captures')])
    .where('visit_id', 'in', [...ids])
    .groupBy('visit_id')
    .execute();
  return new Map(counts.map((row) => [row.visit_id!, Number(row.captures)]));
}
