import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../../../server/contract/captures.ts';
import type { RecordSharing } from '../../../../server/contract/jobs-views.ts';
import type { Update } from '../../../../server/contract/live.ts';
import { RunningService } from '../../running-service.ts';
import { ownerFields } from '../job-fixture.ts';
import { temporaryFolder } from '../temporary-folder.ts';
import { BrokenNetwork } from './broken-network.ts';
import { PASSWORD, PostgresServer, postgresFolder, USER } from './postgres-server.ts';
import { openBench } from './record-databases.ts';

/** The program is compiled anew at every start. */
const PATIENT = { timeout: 120_000, interval: 200 };

describe('the program told of a record', () => {
  test('that is no address says so without repeating it', async () => {
    const ended = await RunningService.run([
      '--data',
      temporaryFolder(),
      '--records',
      `mysql://me:${PASSWORD}@x/y`,
    ]);
    expect(ended.status).toBe(2);
    expect(ended.stderr).toContain('--records takes postgres://USER@HOST/DATABASE');
    expect(ended.stderr + ended.stdout).not.toContain(PASSWORD);
  });
});

describe.runIf(postgresFolder() !== null)('the program with a shared record', () => {
  let server: PostgresServer;
  beforeAll(async () => {
    server = await PostgresServer.start();
  });
  afterAll(() => server.stop());

  test('starts and captures without the network, and delivers when it is there, to be read at another bench', async () => {
    const database = await server.newDatabase();
    const network = new BrokenNetwork(server.socket);
    await network.up();
    await network.down();
    const records = { IDLEWRIGHT_RECORDS: network.address(database), IDLEWRIGHT_LOG_LEVEL: 'debug' };
    const start = () =>
      RunningService.start(['--source', 'practice', '--port', '0', '--data', temporaryFolder()], records);
    const bench = await start();
    const answer = await fetch(`${bench.url}/api/owners`);
    expect([answer.status, ((await answer.json()) as { code: string }).code]).toEqual([
      503,
      'records-unreachable',
    ]);
    const viewer = bench.watch();
    await expect
      .poll(() => viewer.messages.some((message) => (message as Partial<Update>).type === 'update'), PATIENT)
      .toBe(true);
    const capture = await bench.send<CaptureSummary>('POST', '/api/captures', { label: 'before' });
    const samplesOf = async () =>
      (await bench.get<CaptureSummary[]>('/api/captures')).find(({ id }) => id === capture.id)?.samples ?? 0;
    await expect.poll(samplesOf, PATIENT).toBeGreaterThan(200);
    await bench.send('POST', `/api/captures/${capture.id}/stop`);
    const sharing = () => bench.get<RecordSharing>('/api/records/sharing');
    const gone = await sharing();
    expect(gone).toMatchObject({ reached: false, trouble: 'records-unreachable', capturesWaiting: null });
    expect(gone.troubleSinceMs).toBeLessThanOrEqual(Date.now());

    await network.up();
    await expect.poll(sharing, PATIENT).toMatchObject({ reached: true, capturesWaiting: 0 });
    const back = await sharing();
    expect(back).toMatchObject({ trouble: null, troubleSinceMs: null });
    expect(back.lastDeliveredAtMs).toBeGreaterThan(gone.troubleSinceMs!);
    const desk = await start();
    await desk.send('POST', '/api/owners', ownerFields);
    expect(await bench.get<{ total: number }>('/api/owners')).toMatchObject({ total: 1 });
    const csv = (url: string) =>
      fetch(`${url}/api/captures/${capture.id}/samples.csv`).then((response) => response.text());
    const samples = await csv(bench.url);
    expect(samples.split('\r\n').length).toBeGreaterThan(200);
    expect(await csv(desk.url)).toBe(samples);

    // A network that says nothing any more keeps nobody from stopping.
    network.silent = true;
    const said = JSON.stringify([
      await sharing(),
      await bench.get('/api/health'),
      await bench.get('/api/diagnostics'),
    ]);
    viewer.socket.close();
    for (const service of [bench, desk]) {
      const { status, stdout, stderr } = await service.kill('SIGTERM');
      expect(status).toBe(0);
      for (const secret of [PASSWORD, USER]) expect(said + stdout + stderr).not.toContain(secret);
    }
    await network.down();
  });

  test('exports and imports it by its commands, and says in one sentence where it cannot', async () => {
    const [from, to] = [
      server.address(await server.newDatabase()),
      server.address(await server.newDatabase()),
    ];
    const desk = await openBench(temporaryFolder(), from);
    const owner = await desk.shared.store.records.owners.create(ownerFields);
    await desk.close();
    const file = join(temporaryFolder(), 'jobs.json');
    const command = (url: string, ...values: string[]) =>
      RunningService.run(['--data', temporaryFolder(), '--records', url, ...values]);
    expect(await command(from, 'export', file)).toMatchObject({ status: 0, stdout: `${file}\n`, stderr: '' });
    expect(await command(to, 'import', file)).toMatchObject({
      status: 0,
      stdout: '1 entry, 0 captures and 0 photos added; 0 were there\n',
    });
    const other = await openBench(temporaryFolder(), to);
    expect(await other.shared.store.records.owners.get(owner.id)).toEqual(owner);
    await other.close();
    const refused = await command(to.replace(PASSWORD, 'wrong-secret'), 'import', file);
    expect(refused.status).toBe(1);
    expect(refused.stderr).toContain('does not let this bench in');
    expect(refused.stderr).not.toContain('wrong-secret');
  });
});
