import { createReadStream, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { backupsIn } from '../../../server/jobs/backup/backup-names.ts';
import { verifyBackup, verifyData } from '../../../server/jobs/backup/verify-backup.ts';
import { openStore, type Store } from '../../../server/jobs/open-store.ts';
import { exportDocument } from '../../../server/jobs/transfer/export-document.ts';
import { importDocument } from '../../../server/jobs/transfer/import-document.ts';
import { header, open } from './capture-fixture.ts';
import { entries, machineFields, made, ownerFields } from './job-fixture.ts';
import { killWorker, type Said } from './kill/kill-worker.ts';
import { lastSlowTable, newerMigrations, slowRows } from './kill/newer-migrations.ts';
import { cutIntoChunks, manifoldSignal, mulberry } from './manifold-signal.ts';
import { oldData } from './old-data.ts';
import { tinyPng } from './photo-fixture.ts';
import { finishedJob } from './report-fixture.ts';
import { temporaryFolder } from './temporary-folder.ts';

const SEED = 316_001;
const ACTIVITIES = 5;
/** All together; a long run gives another number. */
const KILLS = Number(process.env.IDLEWRIGHT_TEST_KILLS ?? 25);
const KILLS_EACH = Math.ceil(KILLS / ACTIVITIES);
const TIMEOUT_MS = KILLS_EACH * 30_000;
const LONGEST_DELAY_MS = 400;
const SAMPLES_PER_SECOND = 500;

/** Delays from ready to the kill, seeded. */
function delays(activity: number): number[] {
  const random = mulberry(SEED + activity);
  return Array.from({ length: KILLS_EACH }, () => Math.round(random() * LONGEST_DELAY_MS));
}

const title = (what: string) => `${what} (${KILLS_EACH} kills, seed ${SEED})`;

function expectWhole(store: Store): void {
  expect(store.database.prepare('PRAGMA integrity_check').all()).toEqual([{ integrity_check: 'ok' }]);
  expect(store.database.prepare('PRAGMA foreign_key_check').all()).toEqual([]);
  // The index of the search against the words it is made of.
  store.database.exec(`INSERT INTO search_index (search_index, rank) VALUES ('integrity-check', 1)`);
}

/** Every change that was told of is there, with that revision or a later one. */
function expectKept(store: Store, said: Said): void {
  for (const { table, id, revision } of said) {
    if (table === undefined) continue;
    const row = store.database.prepare(`SELECT revision FROM ${String(table)} WHERE id = ?`).get(id);
    expect([table, id, Number(row?.revision) >= Number(revision)]).toEqual([table, id, true]);
  }
}

describe('killed at a random moment', () => {
  test(
    title('while capturing: at most one second of samples is missing'),
    async () => {
      const folder = temporaryFolder();
      for (const [round, delay] of delays(0).entries()) {
        const said = await killWorker('capture-worker.ts', [folder, String(SEED + round)], delay);
        const id = String(said[0]?.captureId);
        const taken = Number(said.at(-1)?.taken ?? 0);
        const store = await open(folder);
        const damages: unknown[] = [];
        let readable = 0;
        for (const chunk of store.captures.chunks(id, (damage) => damages.push(damage))) {
          readable += chunk.timeTicks.length;
        }
        expect(damages).toEqual([]);
        expect(taken - readable).toBeLessThanOrEqual(SAMPLES_PER_SECOND);
        expect(store.captures.get(id)).toMatchObject({ state: 'interrupted', samples: readable });
        expectWhole(store);
        store.close();
      }
    },
    TIMEOUT_MS,
  );

  test(
    title('while editing: no change that was made is lost'),
    async () => {
      const folder = temporaryFolder();
      const all: Said = [];
      for (const [round, delay] of delays(1).entries()) {
        all.push(...(await killWorker('edit-worker.ts', [folder, String(SEED + round)], delay)));
        const store = await open(folder);
        expectKept(store, all);
        expectWhole(store);
        const unfound = store.database
          .prepare('SELECT count(*) AS n FROM visits WHERE id NOT IN (SELECT record_id FROM search_texts)')
          .get();
        expect(unfound).toEqual({ n: 0 });
        store.close();
      }
      expect(all.length).toBeGreaterThan(KILLS_EACH);
    },
    TIMEOUT_MS,
  );

  test(
    title('while importing: what was in is in, and doing it again brings in the rest'),
    async () => {
      const { documents, texts } = await threeDocuments();
      const folder = temporaryFolder();
      for (const [round, delay] of delays(2).entries()) {
        const said = await killWorker('import-worker.ts', [folder, String(round), ...documents], delay);
        const store = await open(folder);
        expectWhole(store);
        for (const { imported } of said) {
          if (typeof imported !== 'string') continue;
          const again = await importDocument(store, () => createReadStream(imported));
          expect(again).toMatchObject({ added: 0, photos: 0, captures: 0, kept: [] });
        }
        store.close();
      }
      const store = await open(folder);
      for (const path of documents) await importDocument(store, () => createReadStream(path));
      for (const { visitId, text } of texts) expect(await exported(store, visitId)).toBe(text);
      store.close();
    },
    TIMEOUT_MS,
  );

  test(
    title('while backing up: the data are whole, and so is every backup that was made'),
    async () => {
      const folder = temporaryFolder();
      const backups = temporaryFolder();
      const first = await open(folder);
      await finishedJob(first);
      await first.records.photos.keep(tinyPng);
      first.close();
      for (const [round, delay] of delays(3).entries()) {
        const said = await killWorker('backup-worker.ts', [folder, String(round), backups], delay);
        for (const { backup } of said) {
          if (typeof backup === 'string') expect(await verifyBackup(backup)).toMatchObject({ ok: true });
        }
        expect(await verifyData(folder)).toMatchObject({ ok: true });
        const store = await open(folder);
        expectKept(store, said);
        expectWhole(store);
        store.close();
      }
      for (const { path } of await backupsIn(backups))
        expect(await verifyBackup(path)).toMatchObject({ ok: true });
      expect(readdirSync(backups).length).toBeGreaterThan(0);
    },
    TIMEOUT_MS,
  );

  test(
    title(
      'while bringing old data up to date: they are of one version or the next, and the next start goes on',
    ),
    async () => {
      for (const [round, delay] of delays(4).entries()) {
        const folder = temporaryFolder();
        const [chunk] = cutIntoChunks(smallSignal(SEED + round), 250);
        const id = oldData(folder, 1, chunk!);
        await killWorker('migrate-worker.ts', [folder], delay);
        const next = await openStore(folder, { migrations: newerMigrations });
        if (!next.ok) throw new Error(next.detail);
        expect([...next.store.captures.chunks(id)]).toEqual([chunk]);
        expect(next.store.database.prepare(`SELECT count(*) AS n FROM ${lastSlowTable}`).get()).toEqual({
          n: slowRows,
        });
        const slow = next.store.database
          .prepare(`SELECT name FROM sqlite_schema WHERE name LIKE 'slow%'`)
          .all();
        expect(slow).toEqual([{ name: lastSlowTable }]);
        expectWhole(next.store);
        next.store.close();
      }
    },
    TIMEOUT_MS,
  );
});

const smallSignal = (seed: number) =>
  manifoldSignal({
    seed,
    seconds: 20,
    channels: 2,
    sampleRateHz: 500,
    noiseKpa: 0.3,
    clockRateHz: 1e6,
    timeJitterTicks: 4,
  });

async function exported(store: Store, visitId: string): Promise<string> {
  let text = '';
  for await (const piece of exportDocument(store.openMoment, {
    visitId,
    exportedAtMs: 5,
    softwareVersion: '0.1.0',
  }))
    text += piece;
  return text;
}

/** Three jobs with many lines and a capture each, as documents. */
async function threeDocuments() {
  const folder = temporaryFolder();
  const store = await open(temporaryFolder());
  const documents: string[] = [];
  const texts: { visitId: string; text: string }[] = [];
  for (let index = 0; index < 3; index++) {
    const owner = await store.records.owners.create(ownerFields);
    const machine = made(await store.records.machines.create({ ...machineFields, ownerId: owner.id }));
    const start = {
      machineId: machine.id,
      day: '2024-05-31',
      complaint: 'c',
      odometer: null,
      technician: '',
    };
    const visit = made(await store.records.visits.create(start));
    for (let line = 0; line < 10; line++) made(await store.records.entries.create(visit.id, entries.labour));
    const id = store.captures.begin({ ...header, visitId: visit.id });
    for (const chunk of cutIntoChunks(smallSignal(index), 250)) store.captures.append(id, chunk);
    store.captures.interrupt(id, null);
    const text = await exported(store, visit.id);
    const path = join(folder, `job-${index}.json`);
    writeFileSync(path, text);
    documents.push(path);
    texts.push({ visitId: visit.id, text });
  }
  store.close();
  return { documents, texts };
}
