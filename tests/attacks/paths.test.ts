import { randomBytes } from 'node:crypto';
import { existsSync, mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { until } from '../server/board/scripted-board.ts';
import { ownerFields } from '../server/jobs/job-fixture.ts';
import { tinyPng } from '../server/jobs/photo-fixture.ts';
import { AttackedService, json } from './attacked-service.ts';

let attacked: AttackedService;
let cookie = '';
beforeAll(async () => {
  attacked = await AttackedService.start();
  cookie = await attacked.letIn('operate');
  await attacked.instrument('/api/owners', json(ownerFields));
  await attacked.instrument('/api/photos', {
    method: 'POST',
    headers: { 'content-type': 'image/png' },
    body: tinyPng,
  });
  await attacked.instrument('/api/setup', { ...json({ toleranceKpa: 2 }), method: 'PATCH' });
});
afterAll(() => attacked.stop());

/** As written on the wire: a client of our own would tidy the dots away. */
async function wire(path: string): Promise<string> {
  const bare = await attacked.bare();
  const lines = [`GET ${path} HTTP/1.1`, `Host: 127.0.0.1:${attacked.networkPort}`, `Cookie: ${cookie}`];
  bare.socket.write([...lines, 'Accept: */*', 'Connection: close', '\r\n'].join('\r\n'));
  await until('closed', () => bare.closed);
  return bare.received;
}

const UP = ['..', '%2e%2e', '.%2e', '%252e%252e', '..%00', '..;', '..\\', '%5c..', '%c0%ae%c0%ae'];
const TARGETS = ['etc/passwd', 'package.json', 'server/main.js', 'access/devices.json', 'setup.json'];

describe('a path that leads out of its folder', () => {
  test.each(UP)('with %s finds nothing, wherever it is put', async (up) => {
    for (const separator of ['/', '%2f', '%5c']) {
      const climb = Array.from({ length: 8 }, () => up).join(separator);
      for (const start of ['/', '/assets/', '/api/photos/', '/api/captures/', '//']) {
        const target = TARGETS[(climb.length + start.length) % TARGETS.length]!;
        const answer = await wire(`${start}${climb}${separator}${target}`);
        expect(answer, answer.slice(0, 200)).not.toMatch(/^HTTP\/1\.1 2/);
        expect(answer).not.toMatch(/root:.*:0:0|tokenHash|"dependencies"|toleranceKpa/);
      }
    }
  });

  test.each([
    '/access/devices.json',
    '/idlewright.sqlite',
    '/setup.json',
    '/.git/config',
    '/package.json',
    '/../server/main.js',
    '/api/photos/../../setup.json',
    `/api/photos/${'0'.repeat(63)}%2f`,
    '/C:/Windows/win.ini',
    '/\\\\server\\share',
    'file:///etc/passwd',
  ])('%s is not served', async (path) => {
    const answer = await wire(path);
    expect(answer, answer.slice(0, 200)).not.toMatch(/^HTTP\/1\.1 2/);
  });
});

test.each([
  ['GET', '/api/captures/a%00b/samples.csv'],
  ['GET', '/api/captures/a%00b/recomputed'],
  ['POST', '/api/captures/a%00b/stop'],
  ['GET', '/api/visits/a%00b'],
  ['GET', '/api/visits/a%00b/figures.csv'],
  ['GET', '/api/checks/results?visitId=a%00b'],
  ['GET', '/api/calibration/history?boardId=a%00b'],
  ['POST', '/api/calibration/use/a%00b'],
  ['GET', '/api/search?q=a%00b'],
])('%s %s: a NUL in a name is the fault of who sends it', async (method, path) => {
  const answer = await attacked.network(path, { method, headers: { cookie } });
  expect(answer.status, answer.body).toBeLessThan(500);
});

describe('an import that names files of its own', () => {
  const lines = (...records: object[]) =>
    [
      '{"format":"idlewright-records","version":1,"exportedAtMs":1717150000000,"softwareVersion":"0.1.0","records":[',
      ...records.map((record) => `${JSON.stringify(record)},`),
      `{"kind":"end","records":${records.length}}`,
      ']}',
      '',
    ].join('\n');
  const base64 = tinyPng.toString('base64');

  test.each([
    '../../../outside',
    '/tmp/outside',
    '..\\..\\outside',
    'a'.repeat(63),
    `${'a'.repeat(63)}/`,
    `${'0'.repeat(64)}`,
  ])('a photo called %j is refused and written nowhere', async (id) => {
    const photo = { id, type: 'image/png', bytes: tinyPng.length };
    const before = filesUnder(attacked.folder);
    const answer = await attacked.network('/api/records/import', {
      method: 'POST',
      headers: { 'content-type': 'application/json', cookie },
      body: lines({ kind: 'photo', photo, base64 }),
    });
    expect(answer.status).toBe(400);
    expect(filesUnder(attacked.folder)).toEqual(before);
    expect(existsSync(join(dirname(attacked.folder), 'outside'))).toBe(false);
  });

  test('noise is refused and leaves nothing behind', async () => {
    const before = filesUnder(attacked.folder);
    const answer = await attacked.network('/api/records/import', {
      method: 'POST',
      headers: { 'content-type': 'application/json', cookie },
      body: randomBytes(100_000),
    });
    expect(answer.status).toBe(400);
    expect(filesUnder(attacked.folder)).toEqual(before);
  });
});

test('another user of the computer can read nothing in the data folder, also while it captures, nor in a backup', async () => {
  await attacked.instrument('/api/captures', json({ label: 'before' }));
  const backups = mkdtempSync(join(tmpdir(), 'idlewright-attacked-backups-'));
  try {
    const { revision, ...shop } = JSON.parse((await attacked.instrument('/api/shop')).body) as {
      revision: number;
    };
    const fields = { ...shop, backup: { folder: backups, everyHours: 24, keep: 2 } };
    await attacked.instrument('/api/shop', { ...json({ revision, fields }), method: 'PUT' });
    expect((await attacked.instrument('/api/records/backups', { method: 'POST' })).status).toBe(201);
    expect(statSync(attacked.folder).mode & 0o077).toBe(0);
    expect(openToOthers(attacked.folder)).toEqual([]);
    const inUse = filesUnder(attacked.folder);
    for (const name of ['idlewright.sqlite', 'idlewright.sqlite-wal', 'setup.json', 'access/devices.json'])
      expect(inUse).toContain(name);
    // What the backup's own folder keeps shut needs no more: photos are linked to those of the backup before.
    for (const name of readdirSync(backups)) expect(statSync(join(backups, name)).mode & 0o077).toBe(0);
    expect(readdirSync(backups)).toHaveLength(1);
  } finally {
    rmSync(backups, { recursive: true, force: true });
  }
});

/** Files and folders under it that others than their owner may open in any way. */
function openToOthers(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((path) => (statSync(path).mode & 0o077) !== 0);
}

function filesUnder(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(folder, join(entry.parentPath, entry.name)))
    .sort();
}
