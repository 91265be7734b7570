import type { Visit, VisitFields, VisitStart } from '../contract/jobs.ts';
import type { Entry } from '../contract/jobs-entries.ts';
import { badReference, type Changed, changedMeanwhile, done, notFound } from './change-outcome.ts';
import type { MachineRecords } from './machine-records.ts';
import type { RecordParts } from './record-parts.ts';
import { entryToRow, visitFromRow, visitToRow } from './record-rows.ts';
import { unindexStep } from './search-index.ts';
import type { SearchWriter } from './search-writer.ts';
import type { ShopRecords } from './shop-records.ts';

/** Room between lines, so that one can be put between two others. */
export const POSITION_STEP = 10;

export interface VisitRecordsParts {
  readonly parts: RecordParts;
  readonly search: SearchWriter;
  readonly machines: MachineRecords;
  readonly shop: ShopRecords;
}

export class VisitRecords {
  readonly #parts: RecordParts;
  readonly #search: SearchWriter;
  readonly #machines: MachineRecords;
  readonly #shop: ShopRecords;

  constructor({ parts, search, machines, shop }: VisitRecordsParts) {
    this.#parts = parts;
    this.#search = search;
    this.#machines = machines;
    this.#shop = shop;
  }

  async get(id: string): Promise<Visit | null> {
    const row = await this.#parts.db.selectFrom('visits').selectAll().where('id', '=', id).executeTakeFirst();
    return row === undefined ? null : visitFromRow(row);
  }

  /** With the shop's checklist, every check still open. */
  create(start: VisitStart): Promise<Changed<Visit>> {
    const { write, db, queue, newId, wallMs } = this.#parts;
    return queue.run(async () => {
      const machine = await this.#machines.get(start.machineId);
      if (machine === null) return badReference('no such machine');
      const shop = await this.#shop.get();
      const now = wallMs();
      const stamp = { revision: 1, createdAtMs: now, updatedAtMs: now };
      const visit: Visit = {
        id: newId(),
        ...stamp,
        ...start,
        ownerId: machine.ownerId,
        practice: machine.practice,
        state: 'taken-in',
        roadTest: '',
        handOver: '',
        handedOverOn: null,
        nextDue: { day: null, odometer: null, what: '' },
        notes: '',
        pricing: shop.pricing,
      };
      const checks: Entry[] = shop.checklist.map((name, index) => ({
        id: newId(),
        visitId: visit.id,
        ...stamp,
        position: (index + 1) * POSITION_STEP,
        body: { kind: 'check', name, result: 'open', note: '' },
      }));
      await write([
        { query: db.insertInto('visits').values(visitToRow(visit)) },
        ...checks.map((check) => ({ query: db.insertInto('entries').values(entryToRow(check)) })),
        ...(await this.#search.afterVisit(visit, checks)),
      ]);
      return done(visit);
    });
  }

  change(id: string, revision: number, fields: VisitFields): Promise<Changed<Visit>> {
    const { write, db, queue, wallMs } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const machine = await this.#machines.get(fields.machineId);
      if (machine === null) return badReference('no such machine');
      const moved = fields.machineId !== stored.machineId;
      const visit: Visit = {
        ...stored,
        ...fields,
        ...(moved ? { ownerId: machine.ownerId, practice: machine.practice } : {}),
        revision: revision + 1,
        updatedAtMs: wallMs(),
      };
      const query = db
        .updateTable('visits')
        .set(visitToRow(visit))
        .where('id', '=', id)
        .where('revision', '=', revision);
      await write([{ query, mustChange: 1 }, ...(await this.#search.afterVisit(visit))]);
      return done(visit);
    });
  }

  /** What is written down in it goes too; its captures stay as loose ones. */
  remove(id: string, revision: number): Promise<Changed<Visit>> {
    const { write, db, queue } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      await write([
        { query: db.updateTable('captures').set({ visit_id: null }).where('visit_id', '=', id) },
        { query: db.deleteFrom('visits').where('id', '=', id), mustChange: 1 },
        unindexStep(db, id),
      ]);
      return done(stored);
    });
  }
}
