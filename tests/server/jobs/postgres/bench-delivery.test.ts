import { type ChildProcess, spawn } from 'node:child_process';
import { cpSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { RecordsTrouble } from '../../../../server/jobs/postgres/records-trouble.ts';
import { visitWithoutWaiting } from '../../../../server/jobs/postgres/visit-without-waiting.ts';
import { exportDocument } from '../../../../server/jobs/transfer/export-document.ts';
import { ManualClock } from '../../manual-clock.ts';
import { figures, header, open } from '../capture-fixture.ts';
import { childEnd, nodeArguments } from '../child-process.ts';
import { holdResult } from '../found-fixture.ts';
import { machineFields, made } from '../job-fixture.ts';
import { temporaryFolder } from '../temporary-folder.ts';
import { BrokenNetwork } from './broken-network.ts';
import { captureOnBench } from './capture-on-bench.ts';
import { PostgresServer, postgresFolder } from './postgres-server.ts';
import { type Bench, openBench } from './record-databases.ts';
import { seeded } from './seeded.ts';

const SEED = 460_117;
const CAPTURES = 6;
const start = { day: '2024-05-31', complaint: 'stumbles', odometer: null, technician: 'R' };

describe.runIf(postgresFolder() !== null)('captures of a bench', () => {
  let server: PostgresServer;
  beforeAll(async () => {
    server = await PostgresServer.start();
  });
  afterAll(() => server.stop());

  /** What is in the record, read beside the program: per capture its chunks, byte for byte. */
  async function inRecord(database: string): Promise<Map<string, string[]>> {
    const captures = await server.sql(
      database,
      'SELECT capture_no, id FROM idlewright.captures ORDER BY capture_no',
    );
    const found = new Map<string, string[]>();
    for (const { capture_no, id } of captures) {
      expect(found.has(String(id))).toBe(false);
      const chunks = await server.sql(
        database,
        'SELECT chunk_no, bytes FROM idlewright.capture_chunks WHERE capture_no = $1 ORDER BY chunk_no',
        [capture_no],
      );
      found.set(
        String(id),
        chunks.map((row) => `${String(row.chunk_no)} ${(row.bytes as Buffer).toString('hex')}`),
      );
    }
    return found;
  }

  /** The same of the bench's own file. */
  function onBench({ database }: Bench['own'], ids: readonly string[]): Map<string, string[]> {
    return new Map(
      ids.map((id) => [
        id,
        database
          .prepare(
            'SELECT chunk_no, bytes FROM capture_chunks JOIN captures USING (capture_no) WHERE id = ? ORDER BY chunk_no',
          )
          .all(id)
          .map((row) => `${String(row.chunk_no)} ${Buffer.from(row.bytes as Uint8Array).toString('hex')}`),
      ]),
    );
  }

  test(`arrive exactly once, byte for byte, through a network that breaks again and again (seed ${SEED})`, async () => {
    const random = seeded(SEED);
    const database = await server.newDatabase();
    const network = new BrokenNetwork(server.socket);
    await network.up();
    const bench = await openBench(temporaryFolder(), network.address(database));
    const ids = Array.from({ length: CAPTURES }, (_, index) => captureOnBench(bench.own, index));
    let breaks = 0;
    for (;;) {
      network.bytesLeft = Math.floor(random() * 25_000);
      const ended = await bench.shared.delivery.deliverAll().then(
        () => true,
        (error: unknown) => {
          expect(error).toBeInstanceOf(RecordsTrouble);
          return false;
        },
      );
      if (ended) break;
      breaks++;
    }
    expect(breaks).toBeGreaterThan(3);
    expect(bench.shared.waiting()).toBe(0);
    expect(await inRecord(database)).toEqual(onBench(bench.own, ids));
    await bench.close();
    await network.down();
  });

  test(`arrive exactly once however often the program is killed at its work (seed ${SEED + 1})`, async () => {
    const random = seeded(SEED + 1);
    const database = await server.newDatabase();
    const network = new BrokenNetwork(server.socket);
    await network.up();
    const folder = temporaryFolder();
    const own = await open(folder);
    const ids = Array.from({ length: CAPTURES }, (_, index) => captureOnBench(own, index));
    own.close();
    const deliver = (): ChildProcess =>
      spawn(
        process.execPath,
        nodeArguments('./postgres/delivery-worker.ts', folder, network.address(database)),
      );
    let kills = 0;
    for (let time = 0; time < 4; time++) {
      const child = deliver();
      network.bytesLeft = Math.floor(12_000 + random() * 12_000);
      network.onCut = () => child.kill('SIGKILL');
      const { signal, output } = await childEnd(child);
      if (signal === 'SIGKILL') kills++;
      else expect(output).toBe('delivered\n');
    }
    expect(kills).toBeGreaterThan(1);
    network.bytesLeft = Number.POSITIVE_INFINITY;
    expect((await childEnd(deliver())).output).toBe('delivered\n');
    const again = await open(folder);
    expect(await inRecord(database)).toEqual(onBench({ ...again }, ids));
    again.close();
    await network.down();
  });

  test('of two benches that deliver at the same time all arrive, and what both have arrives once', async () => {
    const database = await server.newDatabase();
    const [folder, copied] = [temporaryFolder(), join(temporaryFolder(), 'copy')];
    const first = await open(folder);
    const both = [captureOnBench(first, 1), captureOnBench(first, 2)];
    first.close();
    // A backup that was put in place on a second computer.
    cpSync(folder, copied, { recursive: true });
    const benches = [
      await openBench(folder, server.address(database)),
      await openBench(copied, server.address(database)),
    ];
    const single = benches.map(({ own }, index) => captureOnBench(own, 10 + index));
    await Promise.all(benches.map(({ shared }) => shared.delivery.deliverAll()));
    const found = await inRecord(database);
    expect([...found.keys()].sort()).toEqual([...both, ...single].sort());
    for (const [index, { own }] of benches.entries()) {
      const ids = [...both, single[index]!];
      expect(new Map(ids.map((id) => [id, found.get(id)]))).toEqual(onBench(own, ids));
    }
    for (const { close } of benches) await close();
  });

  test('wait while the server is down and go by themselves when it is back', async () => {
    const database = await server.newDatabase();
    const clock = new ManualClock();
    const bench = await openBench(temporaryFolder(), server.address(database), { clock });
    await bench.shared.store.records.shop.get();
    await server.crash();
    bench.shared.delivery.start();
    const id = captureOnBench(bench.own, 1);
    await expect
      .poll(async () => {
        await clock.advance(1000);
        return bench.shared.delivery.trouble;
      })
      .toBe('records-unreachable');
    expect([bench.shared.reached, bench.shared.waiting()]).toEqual([false, 1]);
    const { delivery } = bench.shared;
    const sinceMs = delivery.troubleSinceMs!;
    expect(sinceMs).toBeLessThanOrEqual(clock.wallMs());
    await clock.advance(60_000);
    expect([delivery.troubleSinceMs, delivery.lastDeliveredAtMs]).toEqual([sinceMs, null]);
    await server.resume();
    await expect
      .poll(
        async () => {
          await clock.advance(1000);
          return bench.shared.waiting();
        },
        { timeout: 60_000 },
      )
      .toBe(0);
    expect(delivery.lastDeliveredAtMs).toBeGreaterThan(sinceMs);
    await expect
      .poll(async () => {
        await clock.advance(1000);
        return delivery.troubleSinceMs;
      })
      .toBeNull();
    expect([...(await inRecord(database)).keys()]).toEqual([id]);
    await bench.close();
  });

  test('that still run are not delivered, those that were cut off are, and their figures follow', async () => {
    const database = await server.newDatabase();
    const bench = await openBench(temporaryFolder(), server.address(database));
    const { captures } = bench.own;
    const running = captures.begin(header);
    captures.append(running, {
      timeTicks: [0, 2000],
      counts: [
        [1, 2],
        [3, 4],
      ],
    });
    const cutOff = captures.begin(header);
    captures.append(cutOff, {
      timeTicks: [0, 2000],
      counts: [
        [5, 6],
        [7, 8],
      ],
    });
    captures.interrupt(cutOff, null);
    await bench.shared.delivery.deliverAll();
    expect([...(await inRecord(database)).keys()]).toEqual([cutOff]);
    const shared = bench.shared.store.records.captures;
    expect(await shared.figures(cutOff)).toBeNull();
    captures.fillFigures(cutOff, figures);
    expect(bench.shared.waiting()).toBe(1);
    await bench.shared.delivery.deliverAll();
    expect([bench.shared.waiting(), await shared.figures(cutOff)]).toEqual([0, figures]);
    await bench.close();
  });

  test('keep the job that they hang on, wherever that is changed, and practice stays off real jobs', async () => {
    const database = await server.newDatabase();
    const [left, right] = [
      await openBench(temporaryFolder(), server.address(database)),
      await openBench(temporaryFolder(), server.address(database)),
    ];
    const { records } = left.shared.store;
    const machine = made(await records.machines.create(machineFields));
    const visit = made(await records.visits.create({ ...start, machineId: machine.id }));
    const id = captureOnBench(left.own, 1, { visitId: visit.id });
    const practice = captureOnBench(left.own, 2, { visitId: visit.id, practice: true });
    const names = async (bench: Bench) =>
      (await bench.shared.store.records.captures.listForVisit(visit.id)).map((capture) => capture.id);
    await left.shared.delivery.deliverAll();
    expect([await names(left), await names(right)]).toEqual([[id], [id]]);
    expect(await records.captures.header(practice)).toMatchObject({ visitId: null });
    await right.shared.store.records.captures.setVisit(id, null);
    await left.shared.delivery.deliverAll();
    expect([await names(left), await names(right)]).toEqual([[], []]);
    await left.close();
    await right.close();
  });

  test('and results of checks arrive once and are seen on every bench, also before they are delivered', async () => {
    const database = await server.newDatabase();
    const [left, right] = [
      await openBench(temporaryFolder(), server.address(database)),
      await openBench(temporaryFolder(), server.address(database)),
    ];
    const { records } = left.shared.store;
    const machine = made(await records.machines.create(machineFields));
    const visit = made(await records.visits.create({ ...start, machineId: machine.id }));
    const ofJob = left.own.checkResults.append({ ...holdResult, visitId: visit.id });
    const loose = left.own.checkResults.append(holdResult);
    const seen = (bench: Bench) => bench.shared.store.records.checks.listForVisit(visit.id);
    expect([await seen(left), await seen(right)]).toEqual([[ofJob], []]);
    await left.shared.delivery.deliverAll();
    await left.shared.delivery.deliverAll();
    expect([await seen(left), await seen(right)]).toEqual([[ofJob], [ofJob]]);
    expect(await server.sql(database, 'SELECT id FROM idlewright.check_results ORDER BY result_no')).toEqual([
      { id: ofJob.id },
      { id: loose.id },
    ]);
    let document = '';
    const wish = { visitId: visit.id, exportedAtMs: 5, softwareVersion: '0.1.0' };
    for await (const piece of exportDocument(right.shared.store.openMoment, wish)) document += piece;
    expect(JSON.parse(document).records).toContainEqual({
      kind: 'check',
      id: ofJob.id,
      visitId: visit.id,
      result: ofJob,
    });
    await left.close();
    await right.close();
  });

  test('are begun at once on the job on the bench while the network says nothing', async () => {
    const network = new BrokenNetwork(server.socket);
    network.silent = true;
    await network.up();
    const clock = new ManualClock();
    const { shared, close } = await openBench(temporaryFolder(), network.address(await server.newDatabase()));
    const visit = visitWithoutWaiting(shared.store.records, clock, 'some-visit', { practice: false });
    await expect.poll(() => network.connections).toBeGreaterThan(0);
    await clock.advance(1000);
    expect(await visit).toEqual({ practice: false });
    await close();
    await network.down();
    expect(await visitWithoutWaiting(shared.store.records, clock, 'some-visit', { practice: true })).toEqual({
      practice: true,
    });
  });
});
