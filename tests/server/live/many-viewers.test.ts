import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { afterEach, describe, expect, test } from 'vitest';
import WebSocket from 'ws';
import type { LiveMessage, Pulses } from '../../../server/contract/live.ts';
import { LOWER_MARK_BYTES, UPPER_MARK_BYTES } from '../../../server/live/live-client.ts';
import { FLUSH_MS } from '../../../server/live/live-hub.ts';
import { sleep, until } from '../board/scripted-board.ts';
import { appBench } from '../http/app-bench.ts';

const VIEWERS = 50;
const STALLED = 10;
/** Beyond what the operating system's own buffers of a stalled connection take. */
const MOST_MESSAGES = 8_000;

const closers: (() => unknown)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

/** About 5 kB; `timeS[0]` tells which one it is. */
function pulses(number: number): Pulses {
  const column = Array.from({ length: 250 }, (_, at) => 40 + at / 8);
  return { type: 'pulses', timeS: [number], absoluteKpa: [column, column, column, column], folded: [] };
}

class Watching {
  readonly socket: WebSocket;
  newest = 0;
  messages = 0;
  readonly events: string[] = [];

  constructor(url: string) {
    this.socket = new WebSocket(url);
    this.socket.on('message', (data: Buffer) => {
      this.messages++;
      const head = data.subarray(0, 40).toString();
      const number = /"timeS":\[(\d+)/.exec(head);
      if (number !== null) this.newest = Math.max(this.newest, Number(number[1]));
      if (head.includes('"event"'))
        this.events.push((JSON.parse(String(data)) as LiveMessage & { event: string }).event);
    });
  }
}

describe(`${VIEWERS} screens over real WebSockets, of which ${STALLED} stall`, () => {
  test('the others stay live, memory stays bounded, and who wakes gets the newest value and every event', async () => {
    const { app, hub, clock, session } = await appBench();
    // Only what is published here is newest: the session's own figures would be newer.
    await session.stop();
    await app.listen({ host: '127.0.0.1', port: 0 });
    closers.push(() => app.close());
    const { port } = app.server.address() as AddressInfo;
    const all = Array.from({ length: VIEWERS }, () => new Watching(`ws://127.0.0.1:${port}/live`));
    closers.push(() => all.forEach(({ socket }) => void socket.terminate()));
    await Promise.all(all.map(({ socket }) => once(socket, 'open')));
    await until('all have their seat', () => hub.viewers === VIEWERS);
    const stalled = all.slice(0, STALLED);
    const live = all.slice(STALLED);
    for (const { socket } of stalled) socket.pause();

    let sent = 0;
    const buffered = () => [...app.websocketServer.clients].map(({ bufferedAmount }) => bufferedAmount);
    const heldUp = () => buffered().filter((bytes) => bytes > LOWER_MARK_BYTES).length;
    const one = JSON.stringify(pulses(1)).length + 100;
    let most = 0;
    while (sent < MOST_MESSAGES && hub.folded < STALLED * 50) {
      hub.publish(pulses(++sent));
      most = Math.max(most, ...buffered());
      if (sent % 20 === 0)
        await until('the live ones have it', () => live.every(({ newest }) => newest === sent));
      if (sent % 500 === 0) session.changeSetup({ toleranceKpa: sent / 1_000 });
    }
    expect(hub.folded).toBeGreaterThanOrEqual(STALLED * 50);
    expect(heldUp()).toBe(STALLED);
    // The queue of a stalled screen: up to the mark, the message that went over it, and frame heads.
    expect(most).toBeLessThan(UPPER_MARK_BYTES + 2 * one);
    await until('the live ones have the newest', () => live.every(({ newest }) => newest === sent));
    expect(hub.viewers).toBe(VIEWERS);

    session.changeSetup({ toleranceKpa: 3.21 });
    hub.publish(pulses(++sent));
    for (const { socket } of stalled) socket.resume();
    for (let turns = 0; turns < 2_000 && stalled.some(({ newest }) => newest < sent); turns++) {
      await clock.advance(FLUSH_MS);
      await sleep(5);
    }
    expect(stalled.map(({ newest }) => newest)).toEqual(stalled.map(() => sent));
    const setups = live[0]!.events.filter((event) => event === 'setup').length;
    expect(setups).toBeGreaterThan(0);
    for (const { events, messages } of stalled) {
      expect(events.filter((event) => event === 'setup')).toHaveLength(setups);
      expect(messages).toBeLessThan(live[0]!.messages - 40);
    }
  });
});
