import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Shop } from '../../server/contract/jobs.ts';
import { ownerFields } from '../server/jobs/job-fixture.ts';
import { AttackedService, json } from './attacked-service.ts';

let attacked: AttackedService;
let view = '';
let operate = '';
beforeAll(async () => {
  attacked = await AttackedService.start();
  view = await attacked.letIn('view', 'Phone of the owner');
  operate = await attacked.letIn('operate', 'Tablet');
});
afterAll(() => attacked.stop());

const as = (cookie: string, body: unknown, method = 'POST') => ({
  ...json(body),
  method,
  headers: { 'content-type': 'application/json', cookie },
});

describe('a device that may only look', () => {
  test('sees the live figures and the record', async () => {
    expect((await attacked.network('/api/captures', { headers: { cookie: view } })).status).toBe(200);
    const live = attacked.live({ cookie: view });
    expect(await live.decided()).toBe(101);
    live.socket.terminate();
  });

  test.each([
    ['POST', '/api/captures', { label: 'before' }],
    ['PATCH', '/api/setup', { toleranceKpa: 9 }],
    ['PATCH', '/api/practice', { running: false }],
    ['POST', '/api/practice/blip', {}],
    ['POST', '/api/owners', ownerFields],
    ['POST', '/api/records/import', { format: 'idlewright-records' }],
    ['POST', '/api/records/backups', {}],
    ['DELETE', '/api/owners/any?revision=1', {}],
  ])('%s %s is refused', async (method, path, body) => {
    const answer = await attacked.network(path, as(view, body, method));
    expect(answer.status).toBe(403);
    expect(JSON.parse(answer.body)).toMatchObject({ code: 'view-only-device' });
  });

  test('changed nothing by that', async () => {
    expect(JSON.parse((await attacked.instrument('/api/captures')).body)).toEqual([]);
    expect(JSON.parse((await attacked.instrument('/api/setup')).body)).toMatchObject({ toleranceKpa: 1 });
    expect(JSON.parse((await attacked.instrument('/api/owners')).body)).toMatchObject({ total: 0 });
  });

  test('cannot raise what it may do', async () => {
    for (const headers of [
      { cookie: `${view}; role=operate` },
      { cookie: view, 'x-role': 'operate' },
      { cookie: view, 'x-forwarded-for': '127.0.0.1' },
    ]) {
      const body = JSON.stringify({ label: 'before' });
      const sent = { method: 'POST', headers: { ...headers, 'content-type': 'application/json' }, body };
      expect((await attacked.network('/api/captures', sent)).status).toBe(403);
    }
    expect(
      JSON.parse((await attacked.network('/api/access/me', { headers: { cookie: view } })).body),
    ).toEqual({
      role: 'view',
    });
  });
});

describe.each([
  ['view-only', () => view],
  ['operating', () => operate],
])('a %s device of the network', (_kind, cookie) => {
  test('neither lets others in nor removes any', async () => {
    // The door to the network does not even have these.
    const offered = await attacked.network('/api/access/offer', as(cookie(), { role: 'operate' }));
    expect([403, 404]).toContain(offered.status);
    expect((await attacked.network('/api/access', { headers: { cookie: cookie() } })).status).not.toBe(200);
    const { devices, offer } = await attacked.access();
    const removal = { method: 'DELETE', headers: { cookie: cookie() } };
    const removed = await attacked.network(`/api/access/devices/${devices[0]!.id}`, removal);
    expect([403, 404]).toContain(removed.status);
    expect(offer).toBeNull();
    expect((await attacked.access()).devices).toHaveLength(2);
  });
});

test('a device that may operate changes prices, but names no folder of the computer', async () => {
  const { revision, ...shop } = JSON.parse((await attacked.instrument('/api/shop')).body) as Shop;
  const put = (fields: object) => attacked.network('/api/shop', as(operate, { revision, fields }, 'PUT'));
  const folder = await put({ ...shop, backup: { ...shop.backup, folder: attacked.folder } });
  expect(folder.status).toBe(403);
  expect(JSON.parse(folder.body)).toMatchObject({ code: 'only-on-instrument' });
  expect((await put({ ...shop, phone: '+00 555 0199' })).status).toBe(200);
});
