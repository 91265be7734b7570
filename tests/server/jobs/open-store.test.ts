import { spawn } from 'node:child_process';
import { chmodSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Visit } from '../../../server/contract/jobs.ts';
import { LOCK_FILE } from '../../../server/jobs/folder-lock.ts';
import { migrate } from '../../../server/jobs/migrate.ts';
import { ALL_MIGRATIONS } from '../../../server/jobs/migrations/all-migrations.ts';
import { DATABASE_FILE, openStore } from '../../../server/jobs/open-store.ts';
import { recordParts } from '../../../server/jobs/record-parts.ts';
import { machineToRow, ownerToRow, visitToRow } from '../../../server/jobs/record-rows.ts';
import { searchRecords } from '../../../server/jobs/search-records.ts';
import { openSqliteDatabase } from '../../../server/jobs/sqlite-database.ts';
import { listVisits } from '../../../server/jobs/visit-list.ts';
import { header, open } from './capture-fixture.ts';
import { childEnd, nodeArguments, spawnUnprivileged } from './child-process.ts';
import { machineFields, ownerFields } from './job-fixture.ts';
import { oldData } from './old-data.ts';
import { temporaryFolder } from './temporary-folder.ts';

const mode = (path: string) => statSync(path).mode & 0o777;

describe('the data folder', () => {
  test('is made with its parents, for its owner alone, and the files in it too', async () => {
    const folder = join(temporaryFolder(), 'new', 'data');
    const store = await open(folder);
    expect(mode(folder)).toBe(0o700);
    for (const file of readdirSync(folder)) {
      if (file !== LOCK_FILE) expect([file, mode(join(folder, file))]).toEqual([file, 0o600]);
    }
    store.close();
  });

  test('holds one whole file after closing, nothing is left beside it', async () => {
    const folder = temporaryFolder();
    const store = await open(folder);
    const id = store.captures.begin(header);
    store.close();
    expect(readdirSync(folder).sort()).toEqual([LOCK_FILE, DATABASE_FILE].sort());
    const copy = join(temporaryFolder(), 'copy.sqlite');
    writeFileSync(copy, readFileSync(join(folder, DATABASE_FILE)));
    const database = openSqliteDatabase(copy, { readOnly: true });
    expect(database.prepare('SELECT id FROM captures').all()).toEqual([{ id }]);
    database.close();
  });

  test('serves one program at a time and is free again when that has closed', async () => {
    const folder = temporaryFolder();
    const store = await open(folder);
    expect(await openStore(folder)).toMatchObject({ ok: false, code: 'data-folder-in-use' });
    const child = spawn(process.execPath, nodeArguments('./open-and-say.ts', folder));
    expect(JSON.parse((await childEnd(child)).output)).toMatchObject({ code: 'data-folder-in-use' });
    store.close();
    (await open(folder)).close();
  });

  test('that cannot be made or written is refused', async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'a-file'), '');
    expect(await openStore(join(folder, 'a-file', 'data'))).toMatchObject({
      ok: false,
      code: 'data-folder-unwritable',
    });
    const locked = join(folder, 'locked');
    mkdirSync(locked);
    chmodSync(locked, 0o555);
    chmodSync(folder, 0o755);
    const child = spawnUnprivileged(process.execPath, nodeArguments('./open-and-say.ts', locked));
    expect(JSON.parse((await childEnd(child)).output)).toMatchObject({ code: 'data-folder-unwritable' });
    expect(readdirSync(locked)).toEqual([]);
  });
});

describe('the data file', () => {
  test('of a newer version is refused and not changed', async () => {
    const folder = temporaryFolder();
    (await open(folder)).close();
    const database = openSqliteDatabase(join(folder, DATABASE_FILE));
    database.exec(`PRAGMA user_version = ${ALL_MIGRATIONS.length + 1}`);
    database.close();
    const before = readFileSync(join(folder, DATABASE_FILE));
    expect(await openStore(folder)).toMatchObject({ ok: false, code: 'data-newer-version' });
    expect(readFileSync(join(folder, DATABASE_FILE)).equals(before)).toBe(true);
  });

  test('of another program is refused and not changed', async () => {
    const folder = temporaryFolder();
    const database = openSqliteDatabase(join(folder, DATABASE_FILE));
    database.exec('CREATE TABLE theirs (a TEXT)');
    database.close();
    const before = readFileSync(join(folder, DATABASE_FILE));
    expect(await openStore(folder)).toMatchObject({ ok: false, code: 'data-not-ours' });
    expect(readFileSync(join(folder, DATABASE_FILE)).equals(before)).toBe(true);
  });

  test.each([
    ['that is no database', (bytes: Buffer) => Buffer.alloc(bytes.length, 'x')],
    ['cut in half', (bytes: Buffer) => bytes.subarray(0, bytes.length / 2)],
    [
      'with a page overwritten',
      (bytes: Buffer) =>
        Buffer.concat([bytes.subarray(0, 4096), Buffer.alloc(4096, 0xee), bytes.subarray(8192)]),
    ],
  ])('%s is refused as damaged and not changed', async (_title, damage) => {
    const folder = temporaryFolder();
    (await open(folder)).close();
    const path = join(folder, DATABASE_FILE);
    const damaged = damage(readFileSync(path));
    writeFileSync(path, damaged);
    expect(await openStore(folder)).toMatchObject({ ok: false, code: 'data-damaged' });
    expect(readFileSync(path).equals(damaged)).toBe(true);
  });

  test.each(ALL_MIGRATIONS.map(({ version }) => version))(
    'of version %i is brought to the newest with its captures',
    async (version) => {
      const folder = temporaryFolder();
      const chunk = {
        timeTicks: [1, 2],
        counts: [
          [3, 4],
          [5, 6],
        ],
      };
      const id = oldData(folder, version, chunk);
      const store = await open(folder);
      expect(store.captures.get(id)).toMatchObject({ state: 'interrupted', samples: 2 });
      expect([...store.captures.chunks(id)]).toEqual([chunk]);
      expect(store.database.prepare('PRAGMA user_version').get()).toEqual({
        user_version: ALL_MIGRATIONS.length,
      });
      store.close();
    },
  );

  test('of a version without search is searched like any other afterwards', async () => {
    const folder = temporaryFolder();
    const older = openSqliteDatabase(join(folder, DATABASE_FILE));
    migrate(older, ALL_MIGRATIONS.slice(0, 2));
    const stamp = { revision: 1, createdAtMs: 1, updatedAtMs: 1 };
    const { db } = recordParts(
      older,
      () => '',
      () => 0,
    );
    const visit: Visit = {
      id: 'v',
      ...stamp,
      machineId: 'm',
      ownerId: 'o',
      practice: false,
      state: 'ready',
      day: '2024-01-01',
      complaint: 'stumbles',
      odometer: null,
      technician: '',
      roadTest: '',
      handOver: '',
      handedOverOn: null,
      nextDue: { day: null, odometer: null, what: '' },
      notes: '',
      pricing: { currency: 'EUR', taxOn: 'total', pricesIncludeTax: false },
    };
    await db
      .insertInto('owners')
      .values(ownerToRow({ id: 'o', ...stamp, ...ownerFields }))
      .execute();
    await db
      .insertInto('machines')
      .values(machineToRow({ id: 'm', ...stamp, ...machineFields, ownerId: 'o' }))
      .execute();
    await db.insertInto('visits').values(visitToRow(visit)).execute();
    older.close();
    const store = await open(folder);
    expect((await searchRecords(store.records.parts.db, 'wilma')).length).toBe(3);
    expect((await listVisits(store.records.parts.db, { q: 'stumbles IW650 wilma' })).total).toBe(1);
    store.close();
  });

  test('keeps its version when a migration fails half-way', async () => {
    const folder = temporaryFolder();
    (await open(folder)).close();
    const broken = {
      version: ALL_MIGRATIONS.length + 1,
      title: 'broken',
      statements: ['CREATE TABLE half (a TEXT) STRICT', 'CREATE TABLE half (a TEXT) STRICT'],
    };
    await expect(openStore(folder, { migrations: [...ALL_MIGRATIONS, broken] })).rejects.toThrow('half');
    const store = await open(folder);
    expect(store.database.prepare(`SELECT name FROM sqlite_schema WHERE name = 'half'`).all()).toEqual([]);
    store.close();
  });
});
