import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { LET_IN_BODY_BYTES } from '../../server/http/access/access-routes.ts';
import { BODY_LIMIT_BYTES } from '../../server/http/build-app.ts';
import { MAX_INCOMING_BYTES, MAX_NETWORK_VIEWERS } from '../../server/http/live-route.ts';
import { MAX_CONNECTIONS_PER_ADDRESS, MAX_HEADER_BYTES } from '../../server/http/make-server.ts';
import { MAX_PHOTO_BYTES } from '../../server/jobs/photo-store.ts';
import { until } from '../server/board/scripted-board.ts';
import { AttackedService, CUT_OFF, type LiveTry } from './attacked-service.ts';

let attacked: AttackedService;
let cookie = '';
beforeAll(async () => {
  attacked = await AttackedService.start();
  cookie = await attacked.letIn('operate');
});
afterAll(() => attacked.stop());

const head = (lines: readonly string[]) => [...lines, `Host: 127.0.0.1:${attacked.networkPort}`].join('\r\n');

/** The instrument's own screen is answered while others are at it. */
const instrumentAnswers = async () => (await attacked.instrument('/api/health')).status === 200;

describe('slow clients', () => {
  test('that say nothing, or their headers drop by drop, are cut off; the instrument answers meanwhile', async () => {
    const silent = await attacked.bare();
    const drip = await attacked.bare();
    drip.socket.write(`${head(['GET / HTTP/1.1'])}\r\n`);
    const dripping = setInterval(() => drip.socket.write('X: y\r\n'), 500);
    try {
      expect(await instrumentAnswers()).toBe(true);
      await until('both cut off', () => silent.closed && drip.closed, 60_000);
    } finally {
      clearInterval(dripping);
    }
    expect(silent.received === '' || silent.received.startsWith('HTTP/1.1 408')).toBe(true);
    expect(drip.received === '' || drip.received.startsWith('HTTP/1.1 408')).toBe(true);
  });

  test('that are refused are not waited for, however long their body would be', async () => {
    const stranger = await attacked.bare();
    stranger.socket.write(
      `${head(['POST /api/owners HTTP/1.1', 'Content-Type: application/json', 'Content-Length: 100000'])}\r\n\r\n{`,
    );
    await until('refused and closed', () => stranger.closed);
    expect(stranger.received).toMatch(/^HTTP\/1\.1 401 /);
  });
});

describe('large requests', () => {
  const send = (path: string, body: Buffer | string, type = 'application/json', method = 'POST') =>
    attacked.network(path, { method, body, headers: { 'content-type': type, cookie } });

  test('an address or headers beyond the limit', async () => {
    const long = await attacked.network(`/api/captures?${'x'.repeat(MAX_HEADER_BYTES)}`, {
      headers: { cookie },
    });
    expect(long.status).toBe(431);
    const headers = { cookie, 'x-large': 'x'.repeat(MAX_HEADER_BYTES) };
    expect((await attacked.network('/api/captures', { headers })).status).toBe(431);
    const many = Object.fromEntries(Array.from({ length: 3_000 }, (_, n) => [`x-${n}`, 'y']));
    expect((await attacked.network('/api/captures', { headers: many })).status).toBe(431);
  });

  test('a body beyond the limit of its route', async () => {
    const owner = await send('/api/owners', `"${'x'.repeat(BODY_LIMIT_BYTES)}"`);
    expect([413, CUT_OFF]).toContain(owner.status);
    expect((await send('/api/access/let-in', `"${'x'.repeat(LET_IN_BODY_BYTES)}"`)).status).toBe(413);
    // It is answered before all of it was sent, and the rest of it can meet a closed door.
    const photo = await send('/api/photos', Buffer.alloc(MAX_PHOTO_BYTES + 1), 'image/png');
    expect([413, CUT_OFF]).toContain(photo.status);
  });

  test('a body without a length that goes on and on is cut at the limit', async () => {
    const bare = await attacked.bare();
    const start = [
      'POST /api/owners HTTP/1.1',
      'Content-Type: application/json',
      'Transfer-Encoding: chunked',
    ];
    bare.socket.write(`${head([...start, `Cookie: ${cookie}`])}\r\n\r\n`);
    const piece = `10000\r\n${'x'.repeat(0x10000)}\r\n`;
    let sent = 0;
    while (!bare.closed && !bare.received.includes('413') && sent < 64) {
      bare.socket.write(piece);
      sent++;
      await new Promise((next) => setTimeout(next, 5));
    }
    await until('refused or cut off', () => bare.closed || bare.received.includes('\r\n\r\n'));
    expect(bare.received === '' || bare.received.startsWith('HTTP/1.1 413 ')).toBe(true);
  });

  test('JSON that is nested a hundred thousand deep', async () => {
    const deep = '['.repeat(100_000) + ']'.repeat(100_000);
    expect((await send('/api/owners', deep)).status).toBe(400);
    expect(await instrumentAnswers()).toBe(true);
  });

  test.each(['{"__proto__":{"admin":true}}', '{"constructor":{"prototype":{"admin":true}}}'])(
    'JSON that reaches for the prototype: %s',
    async (body) => {
      expect((await send('/api/setup', body, 'application/json', 'PATCH')).status).toBe(400);
    },
  );

  test('a live message beyond the limit cuts its sender off', async () => {
    const live = attacked.live({ cookie });
    expect(await live.decided()).toBe(101);
    live.socket.send('x'.repeat(MAX_INCOMING_BYTES + 1));
    await until('cut off', () => live.closed);
  });
});

describe('many connections', () => {
  test('of let-in devices leave seats for the instrument’s own screens', async () => {
    const lives: LiveTry[] = [];
    for (let n = 0; n < MAX_NETWORK_VIEWERS + 3; n++) {
      const live = attacked.live({ cookie });
      await live.decided();
      lives.push(live);
    }
    await until('the surplus sent away', () => lives.filter(({ closed }) => closed).length === 3);
    const own = attacked.live({}, attacked.service.port);
    await until('the instrument hears', () => own.messages > 3);
    for (const { socket } of [...lives, own]) socket.terminate();
  });

  test('from one address are cut at a number, and the instrument is not crowded out', async () => {
    const bares = await Promise.all(
      Array.from({ length: MAX_CONNECTIONS_PER_ADDRESS + 20 }, () => attacked.bare()),
    );
    await until('the surplus closed', () => bares.filter(({ closed }) => closed).length >= 20);
    expect(bares.some(({ closed }) => !closed)).toBe(true);
    expect(await instrumentAnswers()).toBe(true);
    for (const { socket } of bares) socket.destroy();
    await until('room again', () => bares.every(({ closed }) => closed));
  });
});
