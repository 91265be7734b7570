import { type AddressInfo, connect } from 'node:net';
import Fastify from 'fastify';
import { afterEach, describe, expect, test } from 'vitest';
import type { TypedApp } from '../../../server/http/app-parts.ts';
import { limitBodyTime } from '../../../server/http/body-time.ts';
import { until } from '../board/scripted-board.ts';

const TIMEOUT_MS = 150;
const stops: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const stop of stops.splice(0)) await stop();
});

/** Answers `POST /api/owners` and the import, with the limit of a moment. */
async function listening(handlerMs = 0): Promise<number> {
  const app = Fastify({ forceCloseConnections: true }) as unknown as TypedApp;
  limitBodyTime(app, TIMEOUT_MS);
  const answer = async () => {
    await new Promise((done) => setTimeout(done, handlerMs));
    return { ok: true };
  };
  app.post('/api/owners', answer);
  app.post('/api/records/import', answer);
  await app.listen({ host: '127.0.0.1', port: 0 });
  stops.push(() => app.close());
  return (app.server.address() as AddressInfo).port;
}

/** Sends the head at once and the body in single bytes. */
function dripping(port: number, path: string, everyMs: number) {
  const body = '{"a":"bcdefghijklmnop"}';
  const socket = connect(port, '127.0.0.1');
  let received = '';
  let closed = false;
  let sent = 0;
  socket.on('data', (bytes) => {
    received += bytes;
  });
  socket.on('error', () => {});
  socket.on('close', () => {
    closed = true;
    clearInterval(timer);
  });
  const head = `POST ${path} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: ${body.length}\r\n\r\n`;
  socket.write(head);
  const timer = setInterval(() => {
    if (sent < body.length) socket.write(body[sent++]!);
    else clearInterval(timer);
  }, everyMs);
  stops.push(async () => {
    clearInterval(timer);
    socket.destroy();
  });
  return { received: () => received, closed: () => closed, sent: () => sent, length: body.length };
}

describe('a body that comes drop by drop', () => {
  test('is not waited for longer than the limit', async () => {
    const client = dripping(await listening(), '/api/owners', 50);
    await until('cut off', client.closed);
    expect(client.sent()).toBeLessThan(client.length);
    expect(client.received()).toBe('');
  });

  test('is read to its end where it is an import', async () => {
    const client = dripping(await listening(), '/api/records/import', 20);
    await until('answered', () => client.received().includes('{"ok":true}'));
    expect(client.sent()).toBe(client.length);
  });
});

test('an answer that takes longer than the body may is not cut off', async () => {
  const client = dripping(await listening(3 * TIMEOUT_MS), '/api/owners', 0);
  await until('answered', () => client.received().includes('{"ok":true}'));
});
