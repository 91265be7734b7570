import type { Owner, OwnerFields } from '../contract/jobs.ts';
import { type Changed, changedMeanwhile, done, inUse, notFound } from './change-outcome.ts';
import type { RecordParts } from './record-parts.ts';
import { ownerFromRow, ownerToRow } from './record-rows.ts';
import { indexStep, unindexStep } from './search-index.ts';
import { ownerWords } from './search-words.ts';
import type { SearchWriter } from './search-writer.ts';

export class OwnerRecords {
  readonly #parts: RecordParts;
  readonly #search: SearchWriter;

  constructor(parts: RecordParts, search: SearchWriter) {
    this.#parts = parts;
    this.#search = search;
  }

  async get(id: string): Promise<Owner | null> {
    const row = await this.#parts.db.selectFrom('owners').selectAll().where('id', '=', id).executeTakeFirst();
    return row === undefined ? null : ownerFromRow(row);
  }

  create(fields: OwnerFields): Promise<Owner> {
    const { write, db, queue, newId, wallMs } = this.#parts;
    return queue.run(async () => {
      const now = wallMs();
      const owner: Owner = { id: newId(), revision: 1, createdAtMs: now, updatedAtMs: now, ...fields };
      await write([
        { query: db.insertInto('owners').values(ownerToRow(owner)) },
        indexStep(db, 'owner', owner.id, ownerWords(owner)),
      ]);
      return owner;
    });
  }

  change(id: string, revision: number, fields: OwnerFields): Promise<Changed<Owner>> {
    const { write, db, queue, wallMs } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const owner: Owner = { ...stored, ...fields, revision: revision + 1, updatedAtMs: wallMs() };
      const query = db
        .updateTable('owners')
        .set(ownerToRow(owner))
        .where('id', '=', id)
        .where('revision', '=', revision);
      await write([{ query, mustChange: 1 }, ...(await this.#search.afterOwner(owner))]);
      return done(owner);
    });
  }

  remove(id: string, revision: number): Promise<Changed<Owner>> {
    const { write, db, queue } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const machine = await db
        .selectFrom('machines')
        .select('id')
        .where('owner_id', '=', id)
        .executeTakeFirst();
      const visit = await db.selectFrom('visits').select('id').where('owner_id', '=', id).executeTakeFirst();
      if (machine !== undefined || visit !== undefined) return inUse('machines or jobs of this owner');
      await write([
        { query: db.deleteFrom('owners').where('id', '=', id), mustChange: 1 },
        unindexStep(db, id),
      ]);
      return done(stored);
    });
  }
}
