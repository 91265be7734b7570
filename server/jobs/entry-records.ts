import type { Visit } from '../contract/jobs.ts';
import type { Entry, EntryFields } from '../contract/jobs-entries.ts';
import { badReference, type Changed, changedMeanwhile, done, notFound } from './change-outcome.ts';
import type { RecordParts } from './record-parts.ts';
import { entryFromRow, entryToRow } from './record-rows.ts';
import type { SearchWriter } from './search-writer.ts';
import type { VisitRecords } from './visit-records.ts';
import type { WriteStep } from './write-together.ts';

/** The lines of a visit. A change to one leaves the revision of the visit itself alone. */
export class EntryRecords {
  readonly #parts: RecordParts;
  readonly #search: SearchWriter;
  readonly #visits: VisitRecords;

  constructor(parts: RecordParts, search: SearchWriter, visits: VisitRecords) {
    this.#parts = parts;
    this.#search = search;
    this.#visits = visits;
  }

  /** In their order. */
  ofVisit(visitId: string): Promise<Entry[]> {
    return this.#search.entriesOf(visitId);
  }

  async get(id: string): Promise<Entry | null> {
    const row = await this.#parts.db
      .selectFrom('entries')
      .selectAll()
      .where('id', '=', id)
      .executeTakeFirst();
    return row === undefined ? null : entryFromRow(row);
  }

  create(visitId: string, fields: EntryFields): Promise<Changed<Entry>> {
    const { db, queue, newId, wallMs } = this.#parts;
    return queue.run(async () => {
      const visit = await this.#visits.get(visitId);
      if (visit === null) return notFound;
      const problem = await this.#problem(fields);
      if (problem !== null) return badReference(problem);
      const now = wallMs();
      const entry: Entry = {
        id: newId(),
        visitId,
        revision: 1,
        createdAtMs: now,
        updatedAtMs: now,
        ...fields,
      };
      const others = await this.ofVisit(visitId);
      await this.#write(visit, [...others, entry], {
        query: db.insertInto('entries').values(entryToRow(entry)),
      });
      return done(entry);
    });
  }

  change(id: string, revision: number, fields: EntryFields): Promise<Changed<Entry>> {
    const { db, queue, wallMs } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const problem = await this.#problem(fields);
      if (problem !== null) return badReference(problem);
      const visit = (await this.#visits.get(stored.visitId))!;
      const entry: Entry = { ...stored, ...fields, revision: revision + 1, updatedAtMs: wallMs() };
      const entries = (await this.ofVisit(visit.id)).map((other) => (other.id === id ? entry : other));
      await this.#write(visit, entries, {
        query: db
          .updateTable('entries')
          .set(entryToRow(entry))
          .where('id', '=', id)
          .where('revision', '=', revision),
        mustChange: 1,
      });
      return done(entry);
    });
  }

  remove(id: string, revision: number): Promise<Changed<Entry>> {
    const { db, queue } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const visit = (await this.#visits.get(stored.visitId))!;
      const entries = (await this.ofVisit(visit.id)).filter((other) => other.id !== id);
      await this.#write(visit, entries, {
        query: db.deleteFrom('entries').where('id', '=', id),
        mustChange: 1,
      });
      return done(stored);
    });
  }

  async #write(visit: Visit, entries: readonly Entry[], step: WriteStep): Promise<void> {
    const { write, db, wallMs } = this.#parts;
    const touched = db.updateTable('visits').set({ updated_at_ms: wallMs() }).where('id', '=', visit.id);
    await write([step, { query: touched }, ...(await this.#search.afterVisit(visit, entries))]);
  }

  async #problem({ body }: EntryFields): Promise<string | null> {
    if (body.kind !== 'finding' || body.photoIds.length === 0) return null;
    const { db } = this.#parts;
    const known = await db.selectFrom('photos').select('id').where('id', 'in', body.photoIds).execute();
    return known.length === new Set(body.photoIds).size ? null : 'no such photo';
  }
}
