import { mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import type { Shop } from '../../server/contract/jobs.ts';
import { until } from '../server/board/scripted-board.ts';
import { AttackedService, json } from './attacked-service.ts';

const stops: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const stop of stops.splice(0).reverse()) await stop();
});

async function started(...args: Parameters<typeof AttackedService.start>): Promise<AttackedService> {
  const attacked = await AttackedService.start(...args);
  stops.push(() => attacked.stop());
  return attacked;
}

describe('a device that is removed on the instrument', () => {
  test('is cut off at once, and its cookie is worth nothing; the others stay', async () => {
    const attacked = await started();
    const [lost, kept] = [
      await attacked.letIn('operate', 'Lost phone'),
      await attacked.letIn('view', 'Tablet'),
    ];
    const [lostLive, lostSecond, keptLive] = [
      attacked.live({ cookie: lost }),
      attacked.live({ cookie: lost }),
      attacked.live({ cookie: kept }),
    ];
    for (const live of [lostLive, lostSecond, keptLive]) expect(await live.decided()).toBe(101);
    const { devices } = await attacked.access();
    expect(devices.map(({ name, connected }) => [name, connected])).toEqual([
      ['Lost phone', true],
      ['Tablet', true],
    ]);
    const removed = await attacked.instrument(`/api/access/devices/${devices[0]!.id}`, { method: 'DELETE' });
    expect(removed.status).toBe(200);
    await until('cut off', () => lostLive.closed && lostSecond.closed);
    const seen = lostLive.messages;
    expect((await attacked.network('/api/captures', { headers: { cookie: lost } })).status).toBe(401);
    expect(
      (await attacked.network('/api/captures', { ...json({ label: 'before' }), headers: { cookie: lost } }))
        .status,
    ).toBe(401);
    expect(await attacked.live({ cookie: lost }).decided()).toBe(401);
    const messages = keptLive.messages;
    await until('the other goes on', () => keptLive.messages > messages + 5);
    expect(lostLive.messages).toBe(seen);
    expect(
      (await attacked.instrument(`/api/access/devices/${devices[0]!.id}`, { method: 'DELETE' })).status,
    ).toBe(404);
  });

  test('has a connection that it keeps open answered no more', async () => {
    const attacked = await started();
    const cookie = await attacked.letIn();
    const bare = await attacked.bare();
    const ask = `GET /api/setup HTTP/1.1\r\nHost: 127.0.0.1:${attacked.networkPort}\r\nCookie: ${cookie}\r\n\r\n`;
    bare.socket.write(ask);
    await until('an answer', () => bare.received.includes('toleranceKpa'));
    const { devices } = await attacked.access();
    await attacked.instrument(`/api/access/devices/${devices[0]!.id}`, { method: 'DELETE' });
    bare.received = '';
    bare.socket.write(ask);
    await until('refused or closed', () => bare.closed || bare.received.includes('\r\n\r\n'));
    expect(bare.received).not.toContain('toleranceKpa');
    expect(bare.received).not.toContain(' 200 ');
  });

  test('is not brought back by a backup: it holds neither the list of devices nor a key', async () => {
    const attacked = await started(['--tls']);
    const certificate = readFileSync(join(attacked.folder, 'access', 'tls-certificate.pem'), 'utf8');
    await attacked.letIn('operate', 'Lost phone', certificate);
    const { revision, ...shop } = JSON.parse((await attacked.instrument('/api/shop')).body) as Shop;
    const backups = join(attacked.folder, 'backups');
    mkdirSync(backups);
    const fields = { ...shop, backup: { ...shop.backup, folder: backups } };
    const set = await attacked.instrument('/api/shop', { ...json({ revision, fields }), method: 'PUT' });
    expect(set.status, set.body).toBe(200);
    const made = await attacked.instrument('/api/records/backups', { method: 'POST' });
    expect(made.status, made.body).toBe(201);
    const files = readdirSync(backups, { recursive: true, encoding: 'utf8' });
    expect(files.some((name) => name.endsWith('manifest.json'))).toBe(true);
    expect(files.filter((name) => /devices|tls|access/.test(name))).toEqual([]);
  });

  test('stays out after a restart, and who was let in stays in', async () => {
    const first = await started();
    const [lost, kept] = [await first.letIn('operate', 'Lost phone'), await first.letIn('view', 'Tablet')];
    const { devices } = await first.access();
    await first.instrument(`/api/access/devices/${devices[0]!.id}`, { method: 'DELETE' });
    await first.service.kill('SIGKILL');
    const second = await started([], first.folder);
    expect((await second.network('/api/setup', { headers: { cookie: lost } })).status).toBe(401);
    expect((await second.network('/api/setup', { headers: { cookie: kept } })).status).toBe(200);
    expect(JSON.parse((await second.network('/api/access/me', { headers: { cookie: kept } })).body)).toEqual({
      role: 'view',
    });
  });
});
