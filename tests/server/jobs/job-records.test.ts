import { describe, expect, test } from 'vitest';
import type { EntryBody } from '../../../server/contract/jobs-entries.ts';
import { listMachines } from '../../../server/jobs/machine-list.ts';
import type { Store } from '../../../server/jobs/open-store.ts';
import { listOwners } from '../../../server/jobs/owner-list.ts';
import { searchRecords } from '../../../server/jobs/search-records.ts';
import { listVisits } from '../../../server/jobs/visit-list.ts';
import { header, open } from './capture-fixture.ts';
import { entries, machineFields, made, ownerFields, visitFields } from './job-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

const start = { day: '2024-05-31', complaint: 'stumbles off the choke', odometer: null, technician: 'R' };

async function openWithJob(folder = temporaryFolder()) {
  const store = await open(folder);
  const { records } = store;
  const owner = await records.owners.create(ownerFields);
  const machine = made(await records.machines.create({ ...machineFields, ownerId: owner.id }));
  const visit = made(await records.visits.create({ ...start, machineId: machine.id }));
  return { store, records, db: records.parts.db, owner, machine, visit };
}

const found = async (store: Store, q: string) =>
  (await listVisits(store.records.parts.db, { q })).rows.map((row) => row.id);

describe('the job record', () => {
  test('gives back every figure exactly as typed, after the file was closed and opened again', async () => {
    const folder = temporaryFolder();
    const { store, visit, machine, owner } = await openWithJob(folder);
    const odometer = { value: '41234,0', unit: 'mi' } as const;
    const nextDue = { day: '2025-05-31', odometer: { value: '45000', unit: 'mi' } as const, what: 'valves' };
    const changed = made(
      await store.records.visits.change(visit.id, 1, { ...visitFields(visit), odometer, nextDue }),
    );
    for (const entry of Object.values(entries)) made(await store.records.entries.create(visit.id, entry));
    const job = await store.records.job(visit.id);
    store.close();

    const again = await open(folder);
    expect(await again.records.job(visit.id)).toEqual(job);
    // A line that is added touches the job's time, not its revision.
    expect(job?.visit).toEqual({ ...changed, updatedAtMs: job?.visit.updatedAtMs });
    expect(job?.visit.odometer).toEqual(odometer);
    expect(job?.machine).toEqual(machine);
    expect(job?.machine.service).toEqual(machineFields.service);
    expect(job?.owner).toEqual(owner);
    expect(job?.entries.slice(-5).map((entry) => entry.body)).toEqual(
      Object.values(entries).map((entry) => entry.body),
    );
    again.close();
  });

  test('starts a job with the shop’s own checklist', async () => {
    const store = await open(temporaryFolder());
    const { revision, ...fields } = await store.records.shop.get();
    made(await store.records.shop.change(revision, { ...fields, checklist: ['Boots', 'Hoses'] }));
    const machine = made(await store.records.machines.create(machineFields));
    const visit = made(await store.records.visits.create({ ...start, machineId: machine.id }));
    expect((await store.records.entries.ofVisit(visit.id)).map((entry) => entry.body)).toEqual([
      { kind: 'check', name: 'Boots', result: 'open', note: '' },
      { kind: 'check', name: 'Hoses', result: 'open', note: '' },
    ]);
    store.close();
  });

  test('works out clearances against the figures of the right side, and the cost of what was fitted', async () => {
    const { store, records, visit } = await openWithJob();
    const intake = made(await records.entries.create(visit.id, entries.intake));
    const exhaust = made(
      await records.entries.create(visit.id, {
        position: 1,
        body: {
          ...entries.intake.body,
          side: 'exhaust',
          reading: { how: 'measured', value: '0.2286', unit: 'mm' },
        },
      }),
    );
    for (const entry of [entries.part, entries.quoted, entries.labour]) {
      made(await records.entries.create(visit.id, entry));
    }
    const job = await records.job(visit.id);
    expect(job?.clearances).toEqual({ [intake.id]: 'tight', [exhaust.id]: 'in' });
    // 2 x 18.95 + 1.5 x 65.00 = 135.40; 19 % of it is 25.726.
    expect(job?.costs).toMatchObject({ netMinor: 13_540, taxMinor: 2573, grossMinor: 16_113 });
    store.close();
  });

  test('keeps captures with their job and lets them loose when it goes', async () => {
    const { store, records, visit } = await openWithJob();
    const id = store.captures.begin({ ...header, visitId: visit.id });
    expect((await records.job(visit.id))?.captures.map((capture) => capture.id)).toEqual([id]);
    made(await records.visits.remove(visit.id, 1));
    expect(await records.job(visit.id)).toBeNull();
    expect(store.captures.header(id)?.visitId).toBeNull();
    expect(await found(store, 'stumbles')).toEqual([]);
    store.close();
  });
});

describe('two screens', () => {
  test('never overwrite each other: the later one is given what is stored', async () => {
    const { store, records, owner, machine, visit } = await openWithJob();
    const note = made(await records.entries.create(visit.id, entries.note));
    const ownerNow = made(await records.owners.change(owner.id, 1, { ...ownerFields, phone: '1' }));
    expect(await records.owners.change(owner.id, 1, { ...ownerFields, phone: '2' })).toEqual({
      ok: false,
      reason: 'changed',
      stored: ownerNow,
    });
    made(await records.machines.change(machine.id, 1, { ...machineFields, ownerId: owner.id, plate: 'A' }));
    expect(await records.machines.change(machine.id, 1, machineFields)).toMatchObject({
      reason: 'changed',
      stored: { plate: 'A', revision: 2 },
    });
    made(await records.visits.change(visit.id, 1, { ...visitFields(visit), notes: 'first' }));
    expect(
      await records.visits.change(visit.id, 1, { ...visitFields(visit), notes: 'second' }),
    ).toMatchObject({
      reason: 'changed',
      stored: { notes: 'first', revision: 2 },
    });
    made(await records.entries.change(note.id, 1, { position: 1, body: { kind: 'note', text: 'first' } }));
    for (const late of [
      records.entries.change(note.id, 1, { position: 1, body: { kind: 'note', text: 'second' } }),
      records.entries.remove(note.id, 1),
    ]) {
      expect(await late).toMatchObject({ reason: 'changed', stored: { body: { text: 'first' } } });
    }
    const shop = await records.shop.get();
    const { revision, ...fields } = shop;
    made(await records.shop.change(revision, { ...fields, name: 'first' }));
    expect(await records.shop.change(revision, { ...fields, name: 'second' })).toMatchObject({
      reason: 'changed',
      stored: { name: 'first' },
    });
    store.close();
  });

  test('saving at the very same moment: one wins, the other is told', async () => {
    const { store, records, visit } = await openWithJob();
    const answers = await Promise.all(
      ['a', 'b', 'c'].map((notes) => records.visits.change(visit.id, 1, { ...visitFields(visit), notes })),
    );
    expect(answers.map((answer) => answer.ok)).toEqual([true, false, false]);
    expect((await records.visits.get(visit.id))?.notes).toBe('a');
    store.close();
  });

  test('adding lines at the same moment keep both, and both are found', async () => {
    const { store, records, visit } = await openWithJob();
    await Promise.all(
      ['alpha', 'beta', 'gamma'].map((text) =>
        records.entries.create(visit.id, { position: 1, body: { kind: 'note', text } }),
      ),
    );
    expect(await found(store, 'alpha beta gamma')).toEqual([visit.id]);
    store.close();
  });

  test('working on different lines do not disturb each other', async () => {
    const { store, records, visit } = await openWithJob();
    made(await records.entries.create(visit.id, entries.note));
    made(await records.visits.change(visit.id, 1, { ...visitFields(visit), notes: 'still revision 1' }));
    store.close();
  });
});

describe('what hangs together', () => {
  test('cannot be deleted from under each other', async () => {
    const { store, records, owner, machine, visit } = await openWithJob();
    expect(await records.owners.remove(owner.id, 1)).toMatchObject({ reason: 'in-use' });
    expect(await records.machines.remove(machine.id, 1)).toMatchObject({ reason: 'in-use' });
    made(await records.visits.remove(visit.id, 1));
    made(await records.machines.remove(machine.id, 1));
    made(await records.owners.remove(owner.id, 1));
    expect(await searchRecords(records.parts.db, 'wilma', 'with')).toEqual([]);
    store.close();
  });

  test('must exist', async () => {
    const { store, records, visit } = await openWithJob();
    expect(await records.machines.create({ ...machineFields, ownerId: 'none' })).toMatchObject({
      reason: 'bad-reference',
    });
    expect(await records.visits.create({ ...start, machineId: 'none' })).toMatchObject({
      reason: 'bad-reference',
    });
    expect(await records.entries.create('none', entries.note)).toEqual({ ok: false, reason: 'not-found' });
    const finding: EntryBody = { kind: 'finding', text: 'x', weight: 'note', photoIds: ['0'.repeat(64)] };
    expect(await records.entries.create(visit.id, { position: 1, body: finding })).toMatchObject({
      reason: 'bad-reference',
    });
    expect(await records.owners.change('none', 1, ownerFields)).toEqual({ ok: false, reason: 'not-found' });
    store.close();
  });

  test('a job keeps the owner whom the machine had then', async () => {
    const { store, records, owner, machine, visit } = await openWithJob();
    const next = await records.owners.create({ ...ownerFields, name: 'Next Keeper' });
    made(await records.machines.change(machine.id, 1, { ...machineFields, ownerId: next.id }));
    expect((await records.job(visit.id))?.owner?.id).toBe(owner.id);
    const later = made(await records.visits.create({ ...start, machineId: machine.id }));
    expect((await records.job(later.id))?.owner?.id).toBe(next.id);
    store.close();
  });
});

describe('search', () => {
  test.each([
    ['a word of the complaint', 'stumbles'],
    ['the beginning of a word', 'stumb'],
    ['a name without its accents', 'asbjorn'],
    ['a part number in full', '16211-AB4'],
    ['a part number in part', '16211'],
    ['a frame number', 'IW650-001234'],
    ['words from the owner, the machine and a part together', 'wilma twin diaphragm'],
    ['a state in plain words', 'taken in'],
    ['a day', '2024-05-31'],
  ])('finds a job by %s', async (_title, q) => {
    const { store, records, visit } = await openWithJob();
    for (const entry of Object.values(entries)) made(await records.entries.create(visit.id, entry));
    expect(await found(store, q)).toEqual([visit.id]);
    expect(await found(store, `${q} unheard`)).toEqual([]);
    store.close();
  });

  test.each([
    '"',
    '""',
    '*',
    'a"b',
    'NEAR(',
    'AND OR NOT',
    '^x',
    'words:x',
    '-',
    "'; DROP TABLE owners; --",
    '%',
  ])('takes %j as plain text', async (q) => {
    const { store } = await openWithJob();
    expect(Array.isArray(await found(store, q))).toBe(true);
    expect(Array.isArray(await searchRecords(store.records.parts.db, q))).toBe(true);
    store.close();
  });

  test('follows every change of owner, machine, job and line', async () => {
    const { store, records, owner, machine, visit } = await openWithJob();
    const note = made(await records.entries.create(visit.id, entries.note));
    made(await records.owners.change(owner.id, 1, { ...ownerFields, name: 'Zacharias' }));
    made(
      await records.machines.change(machine.id, 1, {
        ...machineFields,
        ownerId: owner.id,
        frameNumber: 'Quad',
      }),
    );
    made(await records.visits.change(visit.id, 1, { ...visitFields(visit), complaint: 'hunts' }));
    made(
      await records.entries.change(note.id, 1, { position: 1, body: { kind: 'note', text: 'plug fouled' } }),
    );
    expect(await found(store, 'zacharias quad hunts fouled')).toEqual([visit.id]);
    for (const old of ['asbjorn', 'IW650', 'stumbles', 'stiff'])
      expect([old, await found(store, old)]).toEqual([old, []]);
    made(await records.entries.remove(note.id, 2));
    expect(await found(store, 'fouled')).toEqual([]);
    expect((await searchRecords(records.parts.db, 'zacharias')).map((hit) => hit.kind).sort()).toEqual([
      'machine',
      'owner',
      'visit',
    ]);
    expect((await listOwners(records.parts.db, { q: 'zach' })).rows.map((row) => row.id)).toEqual([owner.id]);
    store.close();
  });

  test('shows where the words were met', async () => {
    const { store } = await openWithJob();
    const { rows } = await listVisits(store.records.parts.db, { q: 'choke' });
    expect(rows[0]?.snippet).toContain('choke');
    store.close();
  });
});

describe('lists', () => {
  test('keep practice jobs apart unless asked for', async () => {
    const { store, records, db, visit } = await openWithJob();
    const bench = made(await records.machines.create({ ...machineFields, model: 'Bench', practice: true }));
    const practice = made(await records.visits.create({ ...start, machineId: bench.id }));
    const ids = async (filter?: 'with' | 'only') =>
      (await listVisits(db, filter === undefined ? {} : { practice: filter })).rows.map((row) => row.id);
    expect(await ids()).toEqual([visit.id]);
    expect(await ids('only')).toEqual([practice.id]);
    expect(new Set(await ids('with'))).toEqual(new Set([visit.id, practice.id]));
    expect((await listMachines(db, {})).rows.map((row) => row.model)).toEqual(['Twin 650']);
    expect((await searchRecords(db, 'bench')).length).toBe(0);
    expect((await searchRecords(db, 'bench', 'only')).length).toBe(2);
    store.close();
  });

  test('filter, sort and page', async () => {
    const { store, records, db, machine } = await openWithJob();
    for (let month = 1; month <= 12; month++) {
      const day = `2023-${String(month).padStart(2, '0')}-01`;
      const visit = made(await records.visits.create({ ...start, day, machineId: machine.id }));
      if (month > 9) {
        made(
          await records.visits.change(visit.id, 1, {
            ...visitFields(visit),
            state: 'ready',
            technician: 'S',
            nextDue: { day: `2024-${month}-01`, odometer: null, what: '' },
          }),
        );
      }
    }
    const days = async (question: Parameters<typeof listVisits>[1]) =>
      (await listVisits(db, question)).rows.map((row) => row.day);
    expect(await days({ limit: 2 })).toEqual(['2024-05-31', '2023-12-01']);
    expect(await days({ limit: 2, offset: 2 })).toEqual(['2023-11-01', '2023-10-01']);
    expect(await days({ sort: 'oldest', limit: 1 })).toEqual(['2023-01-01']);
    expect(await days({ states: ['ready'] })).toEqual(['2023-12-01', '2023-11-01', '2023-10-01']);
    expect(await days({ technician: 'S', toDay: '2023-11-30' })).toEqual(['2023-11-01', '2023-10-01']);
    expect(await days({ fromDay: '2023-02-01', toDay: '2023-02-28' })).toEqual(['2023-02-01']);
    expect(await days({ dueBy: '2024-10-31' })).toEqual(['2023-10-01']);
    expect((await listVisits(db, { machineId: machine.id, limit: 1 })).total).toBe(13);
    for (const sort of ['changed', 'machine', 'owner', 'state'] as const) {
      expect((await days({ sort })).length).toBe(13);
    }
    const machines = await listMachines(db, {});
    expect(machines.rows[0]).toMatchObject({
      visits: 13,
      lastVisitDay: '2024-05-31',
      owner: 'Wilma Ásbjörn',
    });
    store.close();
  });
});
