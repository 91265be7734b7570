import type { AddressInfo } from 'node:net';
import { afterEach, describe, expect, test } from 'vitest';
import WebSocket from 'ws';
import type { LiveMessage } from '../../../server/contract/live.ts';
import { MAX_VIEWERS } from '../../../server/live/live-hub.ts';
import { until } from '../board/scripted-board.ts';
import { appBench } from './app-bench.ts';

const closers: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

async function listening() {
  const bench = await appBench();
  await bench.app.listen({ host: '127.0.0.1', port: 0 });
  closers.push(() => bench.app.close());
  const { port } = bench.app.server.address() as AddressInfo;
  return { ...bench, port, url: `ws://127.0.0.1:${port}/live` };
}

function connect(url: string, headers: Record<string, string> = {}) {
  const socket = new WebSocket(url, { headers });
  const messages: LiveMessage[] = [];
  let refusedWith: number | null = null;
  let closedWith: number | null = null;
  socket.on('message', (data) => messages.push(JSON.parse(String(data)) as LiveMessage));
  socket.on('unexpected-response', (_request, response) => {
    refusedWith = response.statusCode ?? 0;
    socket.terminate();
  });
  socket.on('close', (code) => {
    closedWith = code;
  });
  socket.on('error', () => {});
  return { socket, messages, refusedWith: () => refusedWith, closedWith: () => closedWith };
}

describe('the live connection over a real WebSocket', () => {
  test('hello, snapshot, then updates and events as they come', async () => {
    const { url, source, clock, session } = await listening();
    const viewer = connect(url);
    await until('snapshot', () => viewer.messages.length === 2);
    source.samples(10);
    await clock.advance(50);
    session.changeSetup({ toleranceKpa: 0.4 });
    await until('both', () => viewer.messages.length >= 4);
    expect(viewer.messages.map(({ type }) => type)).toEqual(['hello', 'snapshot', 'update', 'event']);
    expect(viewer.messages[3]).toMatchObject({ event: 'setup', setup: { toleranceKpa: 0.4 } });
  });

  test('a page of another site gets no connection', async () => {
    const { url } = await listening();
    const stranger = connect(url, { origin: 'https://elsewhere.example' });
    await until('refused', () => stranger.refusedWith() !== null);
    expect(stranger.refusedWith()).toBe(403);
    expect(stranger.messages).toEqual([]);
  });

  test('neither does a name that is pointed at this computer from outside', async () => {
    const { url } = await listening();
    const rebound = connect(url, { host: 'rebound.example', origin: 'http://rebound.example' });
    await until('refused', () => rebound.refusedWith() !== null);
    expect(rebound.refusedWith()).toBe(403);
  });

  test('our own page does', async () => {
    const { url, port } = await listening();
    const page = connect(url, { origin: `http://127.0.0.1:${port}` });
    await until('snapshot', () => page.messages.length === 2);
  });

  test('a viewer that sends a flood is cut off and the others stay', async () => {
    const { url, hub } = await listening();
    const good = connect(url);
    const bad = connect(url);
    await until('both', () => good.messages.length === 2 && bad.messages.length === 2);
    bad.socket.send('x'.repeat(1_000_000));
    await until('cut off', () => hub.viewers === 1);
    expect(bad.closedWith()).not.toBe(1000);
    expect(good.socket.readyState).toBe(WebSocket.OPEN);
  });

  test('one viewer too many is told to come back later', async () => {
    const { url, hub } = await listening();
    for (let n = 0; n < MAX_VIEWERS; n++) connect(url);
    await until('full', () => hub.viewers === MAX_VIEWERS);
    const late = connect(url);
    await until('sent away', () => late.closedWith() !== null);
    expect(late.closedWith()).toBe(1013);
  });

  test('a stalled viewer does not grow the memory of the server, and a quick one misses nothing', async () => {
    const { url, hub } = await listening();
    const stalled = connect(url);
    const quick = connect(url);
    await until('both', () => stalled.messages.length === 2 && quick.messages.length === 2);
    stalled.socket.pause();
    const bulk: LiveMessage = {
      type: 'pulses',
      timeS: Array.from({ length: 2_000 }, (_, n) => n),
      absoluteKpa: [],
      folded: [],
    };
    const bytes = JSON.stringify(bulk).length;
    const rounds = Math.ceil(40_000_000 / bytes);
    for (let n = 0; n < rounds; n++) {
      hub.publish(bulk);
      if (n % 20 === 0) await new Promise((resolve) => setImmediate(resolve));
    }
    await until('all', () => quick.messages.length === rounds + 2 || hub.folded > rounds);
    expect(hub.folded).toBeGreaterThan(rounds / 4);
    stalled.socket.resume();
    await until('caught up', () => stalled.messages.length > 3);
    expect(stalled.messages.length).toBeLessThan(rounds);
    stalled.socket.terminate();
  });

  test('an open screen does not hold up the shutdown', async () => {
    const { url, app } = await listening();
    const viewer = connect(url);
    await until('snapshot', () => viewer.messages.length === 2);
    const startedMs = performance.now();
    await app.close();
    expect(performance.now() - startedMs).toBeLessThan(1_500);
    await until('closed', () => viewer.closedWith() !== null);
    expect(viewer.closedWith()).toBe(1001);
  });
});
