import type { Kysely } from 'kysely';
import type { Machine, Owner, Visit } from '../contract/jobs.ts';
import type { Entry } from '../contract/jobs-entries.ts';
import { entryFromRow, machineFromRow, ownerFromRow, visitFromRow } from './record-rows.ts';
import { indexStep } from './search-index.ts';
import { machineWords, ownerWords, visitWords } from './search-words.ts';
import type { Tables } from './tables.ts';
import type { WriteStep } from './write-together.ts';

/**
 * Steps that keep the search level with a change. A visit is found by the words of its machine and owner too, so
 * a change to those reaches further. The changed entry is given, the rest is read.
 */
export class SearchWriter {
  readonly #db: Kysely<Tables>;

  constructor(db: Kysely<Tables>) {
    this.#db = db;
  }

  async afterOwner(owner: Owner): Promise<WriteStep[]> {
    const steps = [indexStep(this.#db, 'owner', owner.id, ownerWords(owner))];
    const machines = await this.#db
      .selectFrom('machines')
      .selectAll()
      .where('owner_id', '=', owner.id)
      .execute();
    for (const machine of machines.map(machineFromRow)) {
      steps.push(indexStep(this.#db, 'machine', machine.id, machineWords(machine, owner)));
    }
    const visits = await this.#db.selectFrom('visits').selectAll().where('owner_id', '=', owner.id).execute();
    for (const visit of visits.map(visitFromRow)) {
      const machine = await this.#machine(visit.machineId);
      if (machine !== null)
        steps.push(this.#visitStep(visit, machine, owner, await this.entriesOf(visit.id)));
    }
    return steps;
  }

  async afterMachine(machine: Machine): Promise<WriteStep[]> {
    const owner = await this.#owner(machine.ownerId);
    const steps = [indexStep(this.#db, 'machine', machine.id, machineWords(machine, owner))];
    const visits = await this.#db
      .selectFrom('visits')
      .selectAll()
      .where('machine_id', '=', machine.id)
      .execute();
    for (const visit of visits.map(visitFromRow)) {
      const entries = await this.entriesOf(visit.id);
      steps.push(this.#visitStep(visit, machine, await this.#owner(visit.ownerId), entries));
    }
    return steps;
  }

  /** @param entries as they will be; the stored ones where left out */
  async afterVisit(visit: Visit, entries?: readonly Entry[]): Promise<WriteStep[]> {
    const machine = await this.#machine(visit.machineId);
    if (machine === null) return [];
    const owner = await this.#owner(visit.ownerId);
    return [this.#visitStep(visit, machine, owner, entries ?? (await this.entriesOf(visit.id)))];
  }

  /** Of everything that the index does not know, as after a step from a version that had none. */
  async missing(): Promise<WriteStep[]> {
    const unknown = (table: 'owners' | 'machines' | 'visits') =>
      this.#db
        .selectFrom(table)
        .select('id')
        .where('id', 'not in', (e) => e.selectFrom('search_texts').select('record_id'))
        .execute();
    const steps: WriteStep[] = [];
    for (const { id } of await unknown('owners')) {
      const owner = await this.#owner(id);
      if (owner !== null) steps.push(indexStep(this.#db, 'owner', id, ownerWords(owner)));
    }
    for (const { id } of await unknown('machines')) {
      const machine = await this.#machine(id);
      if (machine === null) continue;
      steps.push(
        indexStep(this.#db, 'machine', id, machineWords(machine, await this.#owner(machine.ownerId))),
      );
    }
    for (const { id } of await unknown('visits')) {
      const row = await this.#db.selectFrom('visits').selectAll().where('id', '=', id).executeTakeFirst();
      if (row !== undefined) steps.push(...(await this.afterVisit(visitFromRow(row))));
    }
    return steps;
  }

  /** In their order. */
  async entriesOf(visitId: string): Promise<Entry[]> {
    const rows = await this.#db
      .selectFrom('entries')
      .selectAll()
      .where('visit_id', '=', visitId)
      .orderBy('position')
      .orderBy('created_at_ms')
      .orderBy('id')
      .execute();
    return rows.map(entryFromRow);
  }

  #visitStep(visit: Visit, machine: Machine, owner: Owner | null, entries: readonly Entry[]): WriteStep {
    return indexStep(this.#db, 'visit', visit.id, visitWords(visit, machine, owner, entries));
  }

  async #machine(id: string): Promise<Machine | null> {
    const row = await this.#db.selectFrom('machines').selectAll().where('id', '=', id).executeTakeFirst();
    return row === undefined ? null : machineFromRow(row);
  }

  async #owner(id: string | null): Promise<Owner | null> {
    if (id === null) return null;
    const row = await this.#db.selectFrom('owners').selectAll().where('id', '=', id).executeTakeFirst();
    return row === undefined ? null : ownerFromRow(row);
  }
}
