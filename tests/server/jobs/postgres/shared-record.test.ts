import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ALL_MIGRATIONS } from '../../../../server/jobs/migrations/all-migrations.ts';
import { RecordsTrouble } from '../../../../server/jobs/postgres/records-trouble.ts';
import { searchRecords } from '../../../../server/jobs/search-records.ts';
import { listVisits } from '../../../../server/jobs/visit-list.ts';
import { jobApp } from '../job-app.ts';
import { entries, machineFields, made, ownerFields, visitFields } from '../job-fixture.ts';
import { tinyPng } from '../photo-fixture.ts';
import { temporaryFolder } from '../temporary-folder.ts';
import { BrokenNetwork } from './broken-network.ts';
import { captureOnBench } from './capture-on-bench.ts';
import { PASSWORD, PostgresServer, postgresFolder, USER } from './postgres-server.ts';
import { openBench } from './record-databases.ts';
import { seeded } from './seeded.ts';

const SEED = 460_021;
const start = { day: '2024-05-31', complaint: 'stumbles', odometer: null, technician: 'R' };

describe.runIf(postgresFolder() !== null)('a job record that several benches share', () => {
  let server: PostgresServer;
  beforeAll(async () => {
    server = await PostgresServer.start();
  });
  afterAll(() => server.stop());

  const bench = (url: string) => openBench(temporaryFolder(), url);

  test('shows on every bench what any of them wrote, photos, captures and report with it', async () => {
    const url = server.address(await server.newDatabase());
    const [left, right] = [await bench(url), await bench(url)];
    const [here, there] = [left.shared.store.records, right.shared.store.records];
    const owner = await here.owners.create(ownerFields);
    const machine = made(await here.machines.create({ ...machineFields, ownerId: owner.id }));
    const visit = made(await there.visits.create({ ...start, machineId: machine.id }));
    const kept = await here.photos.keep(tinyPng);
    if (!kept.ok) throw new Error(kept.reason);
    const id = captureOnBench(left.own, 3);
    await here.captures.setVisit(id, visit.id);
    expect((await there.photos.bytes(kept.photo.id))?.equals(tinyPng)).toBe(true);
    expect(await there.job(visit.id)).toEqual(await here.job(visit.id));
    expect((await there.job(visit.id))?.captures).toMatchObject([{ id, samples: 1200, spreadKpa: 3 }]);
    const chunks = [];
    for await (const chunk of there.captures.chunks(id)) chunks.push(chunk);
    expect(chunks).toEqual([...left.own.captures.chunks(id)]);
    expect((await listVisits(there.parts.db, { q: 'ásbj' })).rows).toMatchObject([
      { id: visit.id, captures: 1 },
    ]);
    const app = await jobApp(right.shared.store);
    const report = await app.inject({ method: 'GET', url: `/api/visits/${visit.id}/report` });
    expect(report.body).toContain('Wilma Ásbjörn');
    await app.close();
    await left.close();
    await right.close();
  });

  test('lets one of two benches win that change the same entry at the same time, and tells the other', async () => {
    const url = server.address(await server.newDatabase());
    const benches = [await bench(url), await bench(url)];
    const [first] = benches;
    const owner = await first!.shared.store.records.owners.create(ownerFields);
    for (let revision = 1; revision <= 10; revision++) {
      const outcomes = await Promise.all(
        benches.map(({ shared }, index) =>
          shared.store.records.owners.change(owner.id, revision, {
            ...ownerFields,
            phone: `${revision}-${index}`,
          }),
        ),
      );
      const won = outcomes.filter((outcome) => outcome.ok);
      const lost = outcomes.filter((outcome) => !outcome.ok);
      expect([won.length, lost.length]).toEqual([1, 1]);
      expect(lost[0]).toMatchObject({ reason: 'changed', stored: won[0]?.ok ? won[0].value : null });
    }
    for (const { close } of benches) await close();
  });

  test('finds a job by what both benches write in it at the same time', async () => {
    const url = server.address(await server.newDatabase());
    const benches = [await bench(url), await bench(url)];
    const { records } = benches[0]!.shared.store;
    const machine = made(await records.machines.create(machineFields));
    const visit = made(await records.visits.create({ ...start, machineId: machine.id }));
    const words = Array.from({ length: 6 }, (_, index) => `word${index}`);
    await Promise.all(
      words.map((text, index) =>
        benches[index % 2]!.shared.store.records.entries.create(visit.id, {
          position: index,
          body: { kind: 'note', text },
        }),
      ),
    );
    for (const word of words)
      expect(await searchRecords(records.parts.db, word)).toMatchObject([{ kind: 'visit', id: visit.id }]);
    for (const { close } of benches) await close();
  });

  test('is set up once, however many benches come first at the same time', async () => {
    const url = server.address(await server.newDatabase());
    const benches = await Promise.all([1, 2, 3, 4].map(() => bench(url)));
    const shops = await Promise.all(benches.map(({ shared }) => shared.store.records.shop.get()));
    expect(new Set(shops.map((shop) => shop.revision))).toEqual(new Set([0]));
    for (const { close } of benches) await close();
  });

  test('of a newer version is left alone', async () => {
    const url = server.address(await server.newDatabase());
    const newer = [...ALL_MIGRATIONS, { version: ALL_MIGRATIONS.length + 1, title: 'later', statements: [] }];
    const later = await openBench(temporaryFolder(), url, { migrations: newer });
    await later.shared.store.records.shop.get();
    const older = await bench(url);
    await expect(older.shared.store.records.shop.get()).rejects.toMatchObject({
      code: 'records-newer-version',
    });
    await older.close();
    await later.close();
  });

  test('keeps the wishes for backups on each bench', async () => {
    const url = server.address(await server.newDatabase());
    const [left, right] = [await bench(url), await bench(url)];
    const { revision, ...shop } = await left.shared.store.records.shop.get();
    const backup = { folder: '/mnt/stick', everyHours: 12, keep: 3 };
    made(await left.shared.store.records.shop.change(revision, { ...shop, name: 'Upper Ford', backup }));
    expect(await right.shared.store.records.shop.get()).toMatchObject({
      name: 'Upper Ford',
      backup: { folder: null },
    });
    expect((await left.own.records.shop.get()).backup).toEqual(backup);
    await left.close();
    await right.close();
  });

  test('takes in what a bench had before, and gives out one moment of it', async () => {
    const alone = await bench(server.address(await server.newDatabase()));
    const owner = await alone.own.records.owners.create(ownerFields);
    const machine = made(await alone.own.records.machines.create({ ...machineFields, ownerId: owner.id }));
    const visit = made(await alone.own.records.visits.create({ ...start, machineId: machine.id }));
    alone.own.captures.setVisit(captureOnBench(alone.own, 4), visit.id);
    const [ownApp, sharedApp] = [await jobApp(alone.own), await jobApp(alone.shared.store)];
    const document = await ownApp.inject({ method: 'GET', url: '/api/records/export' });
    const taken = await sharedApp.inject({
      method: 'POST',
      url: '/api/records/import',
      headers: { 'content-type': 'application/json' },
      payload: document.body,
    });
    expect(taken.json()).toMatchObject({ kept: [] });
    // The capture comes from the bench itself.
    await alone.shared.delivery.deliverAll();
    expect(await alone.shared.store.records.job(visit.id)).toEqual(await alone.own.records.job(visit.id));
    const again = await sharedApp.inject({ method: 'GET', url: '/api/records/export' });
    expect(again.body).toBe(document.body);
    await ownApp.close();
    await sharedApp.close();
    await alone.close();
  });

  test(`saves an entry whole, or says that it did not, wherever the connection breaks (seed ${SEED})`, async () => {
    const random = seeded(SEED);
    const database = await server.newDatabase();
    const network = new BrokenNetwork(server.socket);
    await network.up();
    const { shared, close } = await bench(network.address(database));
    const { owners } = shared.store.records;
    await owners.create(ownerFields);
    let broken = 0;
    for (let round = 0; round < 60; round++) {
      const name = `Owner ${round}`;
      // From within the reading to after the answer of COMMIT.
      network.bytesLeft = Math.floor(random() * 1500);
      const outcome = await owners.create({ ...ownerFields, name }).then(
        () => 'saved',
        (error: unknown) => (error instanceof RecordsTrouble ? error.code : String(error)),
      );
      network.bytesLeft = Number.POSITIVE_INFINITY;
      if (outcome !== 'saved') broken++;
      const found = await server.sql(database, 'SELECT id FROM idlewright.owners WHERE name = $1', [name]);
      expect([outcome, found.length], `round ${round}`).toEqual(
        outcome === 'saved' ? ['saved', 1] : ['records-unreachable', 0],
      );
    }
    expect(broken).toBeGreaterThan(5);
    await close();
    await network.down();
  });

  test('answers with one clear sentence while the network is gone, and works when it is back', async () => {
    const database = await server.newDatabase();
    const network = new BrokenNetwork(server.socket);
    await network.up();
    const { shared, own, log, close } = await bench(network.address(database));
    const app = await jobApp(shared.store);
    const send = async (method: 'GET' | 'POST' | 'PUT', url: string, payload?: object) => {
      const answer = await app.inject({ method, url, ...(payload === undefined ? {} : { payload }) });
      return { status: answer.statusCode, body: answer.json() };
    };
    const owner = (await send('POST', '/api/owners', ownerFields)).body;
    await network.down();
    for (const url of [
      '/api/visits',
      '/api/owners/x',
      '/api/search?q=a',
      '/api/shop',
      '/api/records/export',
      '/api/visits.csv',
    ])
      expect((await app.inject({ method: 'GET', url })).json(), url).toMatchObject({
        code: 'records-unreachable',
        message: 'The shared job record cannot be reached just now.',
      });
    expect((await send('POST', '/api/owners', ownerFields)).status).toBe(503);
    // What is measured is on the bench.
    const id = captureOnBench(own, 1);
    expect(own.captures.get(id)?.state).toBe('complete');
    await network.up();
    expect((await send('GET', `/api/owners/${owner.id}`)).body).toEqual(owner);
    await app.close();
    await close();
    expect(log.join()).not.toContain(PASSWORD);
    await network.down();
  });

  test('that does not let the bench in says so, and never says the password', async () => {
    const database = await server.newDatabase();
    const wrong = server.address(database).replace(PASSWORD, 'wrong-secret');
    const { shared, log, close } = await bench(wrong);
    const app = await jobApp(shared.store);
    const answer = await app.inject({ method: 'GET', url: '/api/visits' });
    expect([answer.statusCode, answer.json().code]).toEqual([503, 'records-refused']);
    const error = await shared.store.records.shop.get().catch((thrown: Error) => thrown);
    shared.delivery.start();
    await expect.poll(() => log.length).toBeGreaterThan(0);
    const said = [
      answer.body,
      log.join(),
      JSON.stringify(error),
      String((error as Error).stack),
      shared.shown,
    ].join();
    expect(said).not.toContain('wrong-secret');
    expect(said).not.toContain(USER);
    expect(shared.reached).toBe(false);
    await app.close();
    await close();
  });

  test('keeps a job’s own rules: the visit is changed by revision, lines are written in their order', async () => {
    const { shared, close } = await bench(server.address(await server.newDatabase()));
    const { records } = shared.store;
    const machine = made(await records.machines.create(machineFields));
    const visit = made(await records.visits.create({ ...start, machineId: machine.id }));
    for (const entry of Object.values(entries)) made(await records.entries.create(visit.id, entry));
    const changed = made(
      await records.visits.change(visit.id, 1, { ...visitFields(visit), roadTest: 'smooth' }),
    );
    expect(changed.revision).toBe(2);
    expect(await records.visits.change(visit.id, 1, visitFields(visit))).toMatchObject({ reason: 'changed' });
    expect((await records.job(visit.id))?.entries.slice(-5).map(({ body }) => body)).toEqual(
      Object.values(entries).map(({ body }) => body),
    );
    expect(await records.visits.remove(visit.id, 2)).toMatchObject({ ok: true });
    expect(await searchRecords(records.parts.db, 'smooth')).toEqual([]);
    await close();
  });
});
