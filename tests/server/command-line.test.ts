import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { type AddressInfo, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../server/contract/captures.ts';
import type { Setup } from '../../server/contract/setup.ts';
import { until } from './board/scripted-board.ts';
import { RunningService } from './running-service.ts';

let folder = '';
let count = 0;
const freshFolder = () => join(folder, `data-${++count}`);
const practice = (data: string, ...more: string[]) => [
  '--source',
  'practice',
  '--port',
  '0',
  '--data',
  data,
  ...more,
];

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-cli-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** One line for the person, nothing of the inside, exit code 2. */
function expectRefusal(ended: { status: number | null; stdout: string; stderr: string }, part: RegExp) {
  expect(ended.stderr).toMatch(part);
  expect(ended.stderr.trim().split('\n')).toHaveLength(1);
  expect(ended.stderr).toMatch(/^idlewright: [A-Z].*\.\n$/);
  expect(ended.stderr).not.toMatch(/ at .*:\d+:\d+|node_modules/);
  expect(ended.stdout).toBe('');
  expect(ended.status).toBe(2);
}

/** Every start compiles the source anew. */
const SLOW = { timeout: 180_000 };

describe('starting', SLOW, () => {
  test('--help tells the options, --version the version; both end well', async () => {
    const [help, version] = await Promise.all([
      RunningService.run(['--help']),
      RunningService.run(['--version']),
    ]);
    for (const option of ['--port', '--data', '--source', '--record', '--lan', '--tls', 'analyse']) {
      expect(help.stdout).toContain(option);
    }
    expect(help.stdout).toContain('(default: auto)');
    expect(help.stdout).not.toContain('{');
    expect(help).toMatchObject({ status: 0, stderr: '' });
    expect(version).toMatchObject({ status: 0, stderr: '' });
    expect(version.stdout).toMatch(/^\d+\.\d+\.\d+\n$/);
  });

  test('says exactly where it listens, and answers there', async () => {
    const service = await RunningService.start(practice(freshFolder()));
    expect(service.stdout.split('\n')).toContain(`listening on http://127.0.0.1:${service.port}`);
    expect(service.stdout).toContain('source practice');
    expect(await service.get('/api/health')).toMatchObject({ status: 'ok', source: 'practice' });
    await service.kill('SIGTERM');
  });

  test.each([
    [['--port', '70000'], /from 0 to 65535/],
    [['--port', 'abc'], /from 0 to 65535/],
    [['--sauce', 'x'], /unknown option '--sauce'/],
    [['--source', 'usb'], /names no source/],
    [['--source', 'tcp:here'], /needs a host and a port/],
    [['surplus'], /command|argument/i],
    [['--lan-port', '4400'], /go with --lan/],
    [['--tls'], /go with --lan/],
    [['--lan', '--tls-cert', 'x.pem'], /go together/],
  ])('%j is refused in one sentence', async (args, part) => {
    expectRefusal(await RunningService.run(args), part);
  });

  test('a data folder that cannot be written', async () => {
    const file = join(folder, 'a-file');
    writeFileSync(file, '');
    expectRefusal(await RunningService.run(practice(join(file, 'below'))), /data folder cannot be written/);
    if (process.geteuid?.() !== 0) {
      const closed = join(folder, 'closed');
      mkdirSync(closed);
      chmodSync(closed, 0o500);
      expectRefusal(await RunningService.run(practice(closed)), /data folder cannot be written/);
    }
  });

  test('a data folder that another copy uses', async () => {
    const data = freshFolder();
    const first = await RunningService.start(practice(data));
    expectRefusal(await RunningService.run(practice(data)), /Stop the other copy/);
    await first.kill('SIGTERM');
  });

  test('a network port that is taken; the data folder is free again afterwards', async () => {
    const server = createServer();
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    const { port } = server.address() as AddressInfo;
    const data = freshFolder();
    const taken = await RunningService.run(['--source', 'practice', '--port', String(port), '--data', data]);
    expectRefusal(taken, /network port is taken: port \d+/);
    server.close();
    const service = await RunningService.start(practice(data));
    await service.kill('SIGTERM');
  });
});

describe('with --lan', SLOW, () => {
  test('says where let-in devices find it; without, no other door is open', async () => {
    const service = await RunningService.start(practice(freshFolder(), '--lan'));
    const port = Number(/^open to let-in devices on port (\d+): /m.exec(service.stdout)?.[1]);
    expect(port).toBeGreaterThan(0);
    expect(port).not.toBe(service.port);
    expect((await fetch(`http://127.0.0.1:${port}/api/access/me`)).status).toBe(200);
    expect(await service.get('/api/access')).toMatchObject({ offer: null, devices: [] });
    await service.kill('SIGTERM');

    const alone = await RunningService.start(practice(freshFolder()));
    expect(alone.stdout).not.toContain('open to');
    expect(await alone.get('/api/access')).toMatchObject({ lan: null, devices: [] });
    await expect(alone.send('POST', '/api/access/offer', { role: 'view' })).rejects.toThrow(/lan-not-open/);
    await alone.kill('SIGTERM');
  });

  test('a network port that is taken ends the start', async () => {
    const other = createServer();
    await new Promise<void>((listening) => other.listen(0, listening));
    const { port } = other.address() as AddressInfo;
    const ended = RunningService.run(practice(freshFolder(), '--lan', '--lan-port', String(port)));
    expectRefusal(await ended, new RegExp(`network port is taken: port ${port}`));
    await new Promise((closed) => other.close(closed));
  });
});

describe('stopping', SLOW, () => {
  test.each<[NodeJS.Signals]>([['SIGTERM'], ['SIGINT']])(
    '%s stops in the reverse order of start within 2 s',
    async (signal) => {
      const service = await RunningService.start(practice(freshFolder()), { IDLEWRIGHT_LOG_LEVEL: 'info' });
      const viewer = service.watch();
      await until('live', () => viewer.updates.length > 0);
      const startedMs = performance.now();
      const ended = await service.kill(signal);
      expect(performance.now() - startedMs).toBeLessThan(2_000);
      expect(ended.status).toBe(0);
      const stopped = [...ended.stderr.matchAll(/"msg":"stopped ([^"]+)"/g)].map((match) => match[1]);
      expect(stopped).toEqual(['recovery of captures', 'http', 'session', 'live hub', 'backups', 'store']);
    },
  );

  test('with --source auto the search for boards is stopped too', async () => {
    const service = await RunningService.start(['--port', '0', '--data', freshFolder()], {
      IDLEWRIGHT_LOG_LEVEL: 'info',
    });
    const ended = await service.kill('SIGTERM');
    const stopped = [...ended.stderr.matchAll(/"msg":"stopped ([^"]+)"/g)].map((match) => match[1]);
    expect(stopped).toEqual([
      'recovery of captures',
      'http',
      'search for boards',
      'session',
      'live hub',
      'backups',
      'store',
    ]);
  });

  test('a running capture is ended as interrupted with all that came', async () => {
    const data = freshFolder();
    const service = await RunningService.start(practice(data));
    const viewer = service.watch();
    await until('live', () => viewer.updates.length > 0);
    const { id } = await service.send<CaptureSummary>('POST', '/api/captures', { label: 'before' });
    let came = 0;
    while (came <= 800) {
      await new Promise((resolve) => setTimeout(resolve, 100));
      came = (await service.get<CaptureSummary[]>('/api/captures'))[0]?.samples ?? 0;
    }
    await service.kill('SIGTERM');

    const again = await RunningService.start(practice(data));
    const captures = await again.get<CaptureSummary[]>('/api/captures');
    expect(captures).toMatchObject([{ id, state: 'interrupted', label: 'before', practice: true }]);
    expect(captures[0]?.samples).toBeGreaterThanOrEqual(came);
    expect(captures[0]?.idleRpm).toBeGreaterThan(500);
    await again.kill('SIGTERM');
  });

  test('the set-up that the person chose is there again after a restart', async () => {
    const data = freshFolder();
    const service = await RunningService.start(practice(data));
    await service.send<Setup>('PATCH', '/api/setup', { toleranceKpa: 0.8, idleTargetRpm: 1050 });
    await service.kill('SIGTERM');
    const again = await RunningService.start(practice(data));
    expect(await again.get<Setup>('/api/setup')).toMatchObject({ toleranceKpa: 0.8, idleTargetRpm: 1050 });
    await again.kill('SIGTERM');
  });
});
