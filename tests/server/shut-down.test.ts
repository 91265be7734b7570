import { mkdirSync, mkdtempSync, readdirSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import type { CaptureSummary, PlannedCapture } from '../../server/contract/captures.ts';
import type { LiveMessage } from '../../server/contract/live.ts';
import { verifyBackup } from '../../server/jobs/backup/verify-backup.ts';
import { INCOMING_FOLDER } from '../../server/jobs/transfer/incoming-folder.ts';
import { ScriptedBoard, until } from './board/scripted-board.ts';
import { figures, header, open } from './jobs/capture-fixture.ts';
import { machineFields, made } from './jobs/job-fixture.ts';
import { cutIntoChunks, manifoldSignal } from './jobs/manifold-signal.ts';
import { type Ended, RunningService, type Viewer } from './running-service.ts';

/** Every start compiles the source anew. */
const SLOW = { timeout: 180_000 };
const STALLED = 10;
/** A backup reads this twice over: it is under way for a while. */
const LARGE_SETTINGS_BYTES = 200_000_000;

let folder = '';
let count = 0;
const sockets: Socket[] = [];
const boards: ScriptedBoard[] = [];
const freshFolder = () => join(folder, `data-${++count}`);

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'idlewright-stop-'));
});
afterEach(async () => {
  for (const socket of sockets.splice(0)) socket.destroy();
  await Promise.all(boards.splice(0).map((board) => board.unplug()));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function start(data: string, source = 'practice'): Promise<RunningService> {
  return RunningService.start(['--source', source, '--port', '0', '--data', data], {
    IDLEWRIGHT_LOG_LEVEL: 'info',
  });
}

async function liveViewer(service: RunningService): Promise<Viewer> {
  const viewer = service.watch();
  await until('live', () => viewer.updates.length > 0);
  return viewer;
}

/** Sends the head of a request, and a body that never ends, or reads nothing of the answer. */
async function heldUp(service: RunningService, head: string, body = ''): Promise<Socket> {
  const socket = connect({ port: service.port, host: '127.0.0.1' });
  sockets.push(socket);
  socket.on('error', () => {});
  await until('connected', () => !socket.connecting);
  socket.write(`${head}\r\nHost: 127.0.0.1:${service.port}\r\n${body === '' ? '\r\n' : body}`);
  return socket;
}

/** All parts, in the reverse order of their start; those that were left behind are told of. */
function expectStopped(ended: Ended, leftBehind: readonly string[] = []): void {
  const stopped = [...ended.stderr.matchAll(/"msg":"stopped ([^"]+)"/g)].map((match) => match[1]);
  const unclean = [...ended.stderr.matchAll(/"msg":"(\S+) did not stop cleanly"/g)].map((match) => match[1]);
  expect({ status: ended.status, signal: ended.signal }).toEqual({ status: 0, signal: null });
  expect(unclean.filter((name) => !leftBehind.includes(name!))).toEqual([]);
  const order = ['recovery of captures', 'http', 'session', 'live hub', 'backups', 'store'];
  expect(stopped).toEqual(order.filter((name) => !unclean.includes(name)));
}

/** The folder is free, nothing was cut off, and the file is whole. */
async function expectClosed(data: string): Promise<CaptureSummary[]> {
  const store = await open(data);
  expect(store.interruptedAtOpening).toBe(0);
  expect(store.database.prepare('PRAGMA integrity_check').get()).toEqual({ integrity_check: 'ok' });
  const captures = store.captures.list();
  store.close();
  return captures;
}

describe('SIGTERM', SLOW, () => {
  test('before the first line of a board: the port is let go and the record closed', async () => {
    const data = freshFolder();
    const board = await ScriptedBoard.plugIn(join(folder, 'ttyMute'), { mute: true });
    boards.push(board);
    const service = await start(data, `serial:${board.path}`);
    const viewer = service.watch();
    await until('the port is open', () =>
      viewer.messages.some((message) => 'source' in message && message.source.link === 'waiting-for-board'),
    );
    expectStopped(await service.kill('SIGTERM'));
    await expectClosed(data);
    viewer.leave();
  });

  test('while a capture waits to begin: none is left behind, and the screens are told that the program goes', async () => {
    const data = freshFolder();
    const service = await start(data);
    const viewer = await liveViewer(service);
    let closeCode = 0;
    viewer.socket.on('close', (code) => {
      closeCode = code;
    });
    const plan = { label: 'before', when: 'equal' };
    const answer = await service.send<{ label: string }>('POST', '/api/captures/planned', plan);
    expect(answer.label).toBe('before');
    const planned = (): PlannedCapture | null | undefined => viewer.newest?.plannedCapture;
    await until('waiting', () => planned()?.phase === 'waiting');
    expectStopped(await service.kill('SIGTERM'));
    await until('told', () => closeCode !== 0);
    // RFC 6455, 7.4.1: 1001, going away.
    expect(closeCode).toBe(1001);
    expect(await expectClosed(data)).toEqual([]);
  });

  test('in a capture, with stalled screens, a backup, an import and exports under way: what was captured is there', async () => {
    const data = freshFolder();
    await fillRecord(data);
    const backups = join(folder, 'backups');
    mkdirSync(backups);
    writeFileSync(join(data, 'large.json'), '');
    truncateSync(join(data, 'large.json'), LARGE_SETTINGS_BYTES);
    const service = await start(data);
    const viewer = await liveViewer(service);
    await backUpInto(service, backups);
    const { id } = await service.send<CaptureSummary>('POST', '/api/captures', { label: 'after' });
    const stalled = Array.from({ length: STALLED }, () => service.watch());
    await until('all are seated', () => stalled.every(({ messages }) => messages.length > 0));
    for (const { socket } of stalled) socket.pause();
    await until('captured', () => samplesOf(viewer.messages, id) > 500);
    const exported = await heldUp(service, 'GET /api/records/export HTTP/1.1');
    await heldUp(
      service,
      'POST /api/records/import HTTP/1.1',
      'Content-Type: application/json\r\nContent-Length: 100000\r\n\r\n{"format":"idlewright-records",',
    );
    await until('the import is being taken in', () => readdirSync(data).includes(INCOMING_FOLDER));
    const asked = fetch(`${service.url}/api/records/backups`, { method: 'POST' }).catch(() => null);
    await until('the backup is being made', () => readdirSync(backups).length > 0);
    exported.once('readable', () => {});
    await until('the export is coming', () => exported.readableLength > 0);
    expectStopped(await service.kill('SIGTERM'), ['backups']);
    await asked;

    const captures = await expectClosed(data);
    const kept = captures.find((capture) => capture.id === id);
    expect(kept).toMatchObject({ state: 'interrupted', label: 'after' });
    expect(kept!.samples).toBeGreaterThanOrEqual(samplesOf(viewer.messages, id));
    for (const name of readdirSync(backups)) {
      // A half one has a name that no backup has.
      if (!name.endsWith('.partial'))
        expect(await verifyBackup(join(backups, name))).toMatchObject({ ok: true });
    }
    for (const { socket } of stalled) socket.terminate();
  });
});

function samplesOf(messages: readonly LiveMessage[], id: string): number {
  let samples = 0;
  for (const message of messages)
    if (message.type === 'event' && message.event === 'capture' && message.capture.id === id)
      samples = message.capture.samples;
  return samples;
}

async function backUpInto(service: RunningService, backups: string): Promise<void> {
  const { revision, ...shop } = await service.get<{ revision: number }>('/api/shop');
  const fields = { ...shop, backup: { folder: backups, everyHours: 720, keep: 2 } };
  const answer = await fetch(`${service.url}/api/shop`, {
    method: 'PUT',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ revision, fields }),
  });
  if (!answer.ok) throw new Error(await answer.text());
}

/** A job with captures of some megabytes: more than the buffers between two processes take. */
async function fillRecord(data: string): Promise<void> {
  const store = await open(data);
  const { records } = store;
  const machine = made(await records.machines.create(machineFields));
  const visit = made(
    await records.visits.create({
      machineId: machine.id,
      day: '2024-05-31',
      complaint: '',
      odometer: null,
      technician: '',
    }),
  );
  const signal = { seed: 3, seconds: 60, channels: 8, sampleRateHz: 500, noiseKpa: 0.3 };
  const chunks = cutIntoChunks(manifoldSignal({ ...signal, clockRateHz: 1e6, timeJitterTicks: 4 }), 250);
  for (let capture = 0; capture < 6; capture++) {
    const id = store.captures.begin({ ...header, visitId: visit.id });
    store.database.transaction(() => {
      for (const chunk of chunks) store.captures.append(id, chunk);
    });
    store.captures.complete(id, figures);
  }
  store.close();
}
