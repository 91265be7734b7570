import type { Machine, MachineFields } from '../contract/jobs.ts';
import { badReference, type Changed, changedMeanwhile, done, inUse, notFound } from './change-outcome.ts';
import type { RecordParts } from './record-parts.ts';
import { machineFromRow, machineToRow } from './record-rows.ts';
import { unindexStep } from './search-index.ts';
import type { SearchWriter } from './search-writer.ts';

export class MachineRecords {
  readonly #parts: RecordParts;
  readonly #search: SearchWriter;

  constructor(parts: RecordParts, search: SearchWriter) {
    this.#parts = parts;
    this.#search = search;
  }

  async get(id: string): Promise<Machine | null> {
    const row = await this.#parts.db
      .selectFrom('machines')
      .selectAll()
      .where('id', '=', id)
      .executeTakeFirst();
    return row === undefined ? null : machineFromRow(row);
  }

  create(fields: MachineFields): Promise<Changed<Machine>> {
    const { write, db, queue, newId, wallMs } = this.#parts;
    return queue.run(async () => {
      if (!(await this.#ownerExists(fields.ownerId))) return badReference('no such owner');
      const now = wallMs();
      const machine: Machine = { id: newId(), revision: 1, createdAtMs: now, updatedAtMs: now, ...fields };
      await write([
        { query: db.insertInto('machines').values(machineToRow(machine)) },
        ...(await this.#search.afterMachine(machine)),
      ]);
      return done(machine);
    });
  }

  /** Jobs that were made before keep the owner and the practice mark that the machine had then. */
  change(id: string, revision: number, fields: MachineFields): Promise<Changed<Machine>> {
    const { write, db, queue, wallMs } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      if (!(await this.#ownerExists(fields.ownerId))) return badReference('no such owner');
      const machine: Machine = { ...stored, ...fields, revision: revision + 1, updatedAtMs: wallMs() };
      const query = db
        .updateTable('machines')
        .set(machineToRow(machine))
        .where('id', '=', id)
        .where('revision', '=', revision);
      await write([{ query, mustChange: 1 }, ...(await this.#search.afterMachine(machine))]);
      return done(machine);
    });
  }

  remove(id: string, revision: number): Promise<Changed<Machine>> {
    const { write, db, queue } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get(id);
      if (stored === null) return notFound;
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const visit = await db
        .selectFrom('visits')
        .select('id')
        .where('machine_id', '=', id)
        .executeTakeFirst();
      if (visit !== undefined) return inUse('jobs of this machine');
      await write([
        { query: db.deleteFrom('machines').where('id', '=', id), mustChange: 1 },
        unindexStep(db, id),
      ]);
      return done(stored);
    });
  }

  async #ownerExists(ownerId: string | null): Promise<boolean> {
    if (ownerId === null) return true;
    const { db } = this.#parts;
    return (
      (await db.selectFrom('owners').select('id').where('id', '=', ownerId).executeTakeFirst()) !== undefined
    );
  }
}
