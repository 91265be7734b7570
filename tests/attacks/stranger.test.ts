import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ownerFields } from '../server/jobs/job-fixture.ts';
import { AttackedService, json } from './attacked-service.ts';

let attacked: AttackedService;
beforeAll(async () => {
  attacked = await AttackedService.start();
  await attacked.instrument('/api/owners', json({ ...ownerFields, name: 'Invented Owner' }));
});
afterAll(() => attacked.stop());

const READS = [
  '/api/health',
  '/api/setup',
  '/api/captures',
  '/api/owners',
  '/api/visits.csv',
  '/api/search?q=invented',
  '/api/records/export',
  '/api/records/backups',
  '/api/shop',
  '/api/access',
  '//api/owners',
  '/api/owners/',
  '/API/owners',
  '/api/%6fwners',
];

describe('a device that was not let in', () => {
  test.each(READS)('reads nothing at %s', async (path) => {
    const answer = await attacked.network(path);
    expect([401, 404]).toContain(answer.status);
    expect(answer.body).not.toMatch(/invented/i);
  });

  test.each([
    ['an empty cookie', { cookie: 'idlewright-device=' }],
    ['a made-up token', { cookie: `idlewright-device=${'A'.repeat(43)}` }],
    ['a made-up token under the name for TLS', { cookie: `__Host-idlewright-device=${'A'.repeat(43)}` }],
    ['a huge cookie', { cookie: `idlewright-device=${'A'.repeat(8_000)}` }],
    [
      'an address that it claims to come from',
      { 'x-forwarded-for': '127.0.0.1', forwarded: 'for=127.0.0.1' },
    ],
    ['a real address that it claims', { 'x-real-ip': '::1', 'x-client-ip': '127.0.0.1' }],
    ['a method that it claims', { 'x-http-method-override': 'GET' }],
    ['a password', { authorization: 'Basic YWRtaW46YWRtaW4=' }],
  ])('gets no further with %s', async (_what, headers: Record<string, string>) => {
    expect((await attacked.network('/api/owners', { headers })).status).toBe(401);
    expect((await attacked.network('/api/owners', { ...json({}), headers })).status).toBe(401);
  });

  test('gets no live connection', async () => {
    const live = attacked.live();
    expect(await live.decided()).toBe(401);
    expect(live.messages).toBe(0);
  });

  test('makes no code for itself, and removes nobody', async () => {
    const offer = await attacked.network('/api/access/offer', json({ role: 'operate' }));
    expect(offer.status).not.toBe(200);
    expect((await attacked.network('/api/access/devices/any', { method: 'DELETE' })).status).not.toBe(200);
    expect((await attacked.access()).offer).toBeNull();
  });

  test('gets the pages, which hold nothing, and is told that it is not let in', async () => {
    const page = await attacked.network('/', { headers: { accept: 'text/html' } });
    expect(page.status).toBe(200);
    expect(page.body).toContain('<title>idlewright</title>');
    expect(JSON.parse((await attacked.network('/api/access/me')).body)).toEqual({ role: 'none' });
  });

  test('may guess a token as often as it likes: there are 2^256', async () => {
    for (let n = 0; n < 50; n++) {
      const cookie = `idlewright-device=${String(n).padStart(43, 'x')}`;
      expect((await attacked.network('/api/captures', { headers: { cookie } })).status).toBe(401);
    }
  });
});

test('the computer itself needs no code', async () => {
  expect((await attacked.instrument('/api/owners')).body).toContain('Invented Owner');
  expect(JSON.parse((await attacked.instrument('/api/access/me')).body)).toEqual({ role: 'instrument' });
});
