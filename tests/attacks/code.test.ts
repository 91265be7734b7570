import type { AddressInfo } from 'node:net';
import { afterEach, describe, expect, test } from 'vitest';
import { AccessDesk } from '../../server/access/access-desk.ts';
import { CODE_LIFE_MS, LOCK_OUT_MS, TRIES_PER_ADDRESS } from '../../server/access/pairing.ts';
import { systemSecrets } from '../../server/access/system-secrets.ts';
import { ownAddressRule } from '../../server/http/allowed-hosts.ts';
import { appBench } from '../server/http/app-bench.ts';
import { ManualClock } from '../server/manual-clock.ts';
import { AttackedService, json } from './attacked-service.ts';

const stops: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const stop of stops.splice(0)) await stop();
});

async function attackedService(): Promise<AttackedService> {
  const attacked = await AttackedService.start();
  stops.push(() => attacked.stop());
  return attacked;
}

const hand = (code: string, name = 'Intruder') => json({ code, name });
const other = (code: string) => String((Number(code) + 1) % 1_000_000).padStart(6, '0');

describe('a code', () => {
  test('that is guessed: the device is locked out before it gets anywhere, also with the right one', async () => {
    const attacked = await attackedService();
    const code = await attacked.code();
    for (let n = 0; n < TRIES_PER_ADDRESS; n++) {
      const answer = await attacked.network('/api/access/let-in', hand(other(code)));
      expect(answer.status).toBe(403);
      expect(JSON.parse(answer.body)).toMatchObject({ code: 'code-not-accepted' });
      expect(answer.headers['set-cookie']).toBeUndefined();
    }
    const locked = await attacked.network('/api/access/let-in', hand(code));
    expect(locked.status).toBe(429);
    expect(JSON.parse(locked.body)).toMatchObject({ code: 'too-many-tries' });
    expect(locked.headers['set-cookie']).toBeUndefined();
    expect((await attacked.access()).devices).toEqual([]);
    expect((await attacked.access()).offer).toMatchObject({ code, wrongTries: TRIES_PER_ADDRESS });
  });

  test('that was used once is worth nothing to who saw it', async () => {
    const attacked = await attackedService();
    const code = await attacked.code();
    expect((await attacked.network('/api/access/let-in', hand(code, 'Owner'))).status).toBe(200);
    expect((await attacked.network('/api/access/let-in', hand(code))).status).toBe(403);
    expect((await attacked.access()).devices.map(({ name }) => name)).toEqual(['Owner']);
    expect((await attacked.access()).lastOffer).toBe('used');
  });

  test('that many hand in at the same moment lets in one of them', async () => {
    const attacked = await attackedService();
    const code = await attacked.code();
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, n) => attacked.network('/api/access/let-in', hand(code, `Device ${n}`))),
    );
    expect(answers.filter(({ status }) => status === 200)).toHaveLength(1);
    expect((await attacked.access()).devices).toHaveLength(1);
  });

  test('that was taken back, or that a newer one took the place of, lets nobody in', async () => {
    const attacked = await attackedService();
    const first = await attacked.code();
    const second = await attacked.code();
    if (first !== second)
      expect((await attacked.network('/api/access/let-in', hand(first))).status).toBe(403);
    await attacked.instrument('/api/access/offer', { method: 'DELETE' });
    expect((await attacked.network('/api/access/let-in', hand(second))).status).toBe(403);
  });

  test.each([
    ['five digits', { code: '12345', name: 'x' }],
    ['letters', { code: 'abcdef', name: 'x' }],
    ['a number', { code: 123_456, name: 'x' }],
    ['a list', { code: ['123456'], name: 'x' }],
    ['no name', { code: '123456' }],
    ['a blank name', { code: '123456', name: '   ' }],
    ['a long name', { code: '123456', name: 'x'.repeat(41) }],
    ['a role of its own choice', { code: '123456', name: 'x', role: 'instrument' }],
  ])('in a body with %s is refused as such', async (_what, body) => {
    const desk = await deskOnManualClock();
    const answer = await fetch(`${desk.url}/api/access/let-in`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    });
    expect(answer.status).toBe(400);
    await answer.arrayBuffer();
  });

  test('that has run out lets nobody in; who was locked out may try again after the lock-out', async () => {
    const { url, clock, desk } = await deskOnManualClock();
    const letIn = async (code: string) => {
      const { method, headers, body } = hand(code);
      const answer = await fetch(`${url}/api/access/let-in`, {
        method: method!,
        headers,
        body: String(body),
      });
      await answer.arrayBuffer();
      return answer.status;
    };
    desk.offer('operate');
    const { code } = desk.state(null).offer!;
    await clock.advance(CODE_LIFE_MS);
    expect(await letIn(code)).toBe(403);
    expect(desk.state(null)).toMatchObject({ offer: null, lastOffer: 'run-out' });
    for (let n = 1; n < TRIES_PER_ADDRESS; n++) expect(await letIn(code)).toBe(403);
    expect(await letIn(code)).toBe(429);
    await clock.advance(LOCK_OUT_MS);
    desk.offer('view');
    expect(await letIn(desk.state(null).offer!.code)).toBe(200);
  });
});

/** The door to the network on a clock that the test turns, answering on a real socket. */
async function deskOnManualClock() {
  const clock = new ManualClock();
  const desk = new AccessDesk({
    clock,
    secrets: systemSecrets,
    keep: { read: () => [], write: () => {} },
    onTrouble: () => {},
  });
  const { app } = await appBench('serial', {
    hosts: ownAddressRule('http:'),
    door: { kind: 'network', desk, tls: null, takes: () => true },
  });
  await app.listen({ host: '127.0.0.1', port: 0 });
  stops.push(() => app.close());
  return { url: `http://127.0.0.1:${(app.server.address() as AddressInfo).port}`, clock, desk };
}
