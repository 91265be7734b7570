import { Value } from 'typebox/value';
import { describe, expect, test } from 'vitest';
import type { CaptureSummary } from '../../../server/contract/captures.ts';
import { Hello, type LiveMessage, Snapshot } from '../../../server/contract/live.ts';
import { LOWER_MARK_BYTES, MAX_HELD_EVENTS, UPPER_MARK_BYTES } from '../../../server/live/live-client.ts';
import {
  FLUSH_MS,
  HEARTBEAT_MS,
  LiveHub,
  MAX_MESSAGE_CHARACTERS,
  MAX_VIEWERS,
} from '../../../server/live/live-hub.ts';
import { DEFAULT_SETUP } from '../../../server/session/setup-change.ts';
import { sourceView } from '../../../server/session/source-view.ts';
import { blankUpdate } from '../../../server/session/update-message.ts';
import { ManualClock } from '../manual-clock.ts';
import { FakeTransport } from './fake-transport.ts';

const update = (timeS: number): LiveMessage => blankUpdate(4, timeS, 0);
const pulses = (timeS: number): LiveMessage => ({
  type: 'pulses',
  timeS: [timeS],
  absoluteKpa: [[1]],
  folded: [],
});
const event = (idleRpm: number): LiveMessage => ({
  type: 'event',
  event: 'capture',
  capture: { id: 'c', idleRpm, gapsKpa: [] } as unknown as CaptureSummary,
});
/** Enough updates to go over the upper mark. */
const FLOOD = Math.ceil((UPPER_MARK_BYTES * 1.2) / JSON.stringify(update(1)).length);

function bench() {
  const clock = new ManualClock();
  const troubles: string[] = [];
  const hub = new LiveHub({
    clock,
    serverStartId: 'start-1',
    softwareVersion: '1.2.3',
    snapshot: () => ({
      type: 'snapshot',
      source: sourceView(null, null, null, {}),
      setup: DEFAULT_SETUP,
      update: null,
      captures: [],
      practice: null,
    }),
    onTrouble: (detail) => troubles.push(detail),
  });
  const join = () => {
    const transport = new FakeTransport();
    const seat = hub.join(transport);
    if (seat === null) throw new Error('no seat');
    return { transport, seat };
  };
  return { clock, hub, join, troubles };
}

describe('LiveHub', () => {
  test('a viewer gets hello, snapshot, then what is published, in that order', () => {
    const { hub, join } = bench();
    const { transport } = join();
    hub.publish(update(1));
    hub.publish(pulses(1));
    hub.publish(event(1));
    expect(transport.types).toEqual(['hello', 'snapshot', 'update', 'pulses', 'event']);
    const [hello, snapshot] = transport.messages;
    expect(Value.Check(Hello, hello)).toBe(true);
    expect(Value.Check(Snapshot, snapshot)).toBe(true);
    expect(hello).toMatchObject({ liveVersion: 1, serverStartId: 'start-1', softwareVersion: '1.2.3' });
  });

  test('a stalled viewer costs no memory: its queue stays near the upper mark whatever is published', () => {
    const { hub, join } = bench();
    const { transport } = join();
    transport.stall();
    for (let n = 0; n < FLOOD * 20; n++) hub.publish(update(n));
    expect(transport.bufferedBytes()).toBeLessThan(UPPER_MARK_BYTES + 2 * JSON.stringify(update(1)).length);
  });

  test('once its queue is short again it gets the newest of each kind and nothing in between', async () => {
    const { clock, hub, join } = bench();
    const { transport } = join();
    transport.stall();
    for (let n = 1; n <= FLOOD * 2; n++) {
      hub.publish(update(n));
      hub.publish(pulses(n));
    }
    transport.drain();
    const before = transport.delivered.length;
    await clock.advance(FLUSH_MS);
    const caughtUp = transport.messages.slice(before);
    expect(caughtUp.map(({ type }) => type).toSorted()).toEqual(['pulses', 'update']);
    expect(caughtUp.find(({ type }) => type === 'update')).toMatchObject({ timeS: FLOOD * 2 });
    expect(caughtUp.find(({ type }) => type === 'pulses')).toMatchObject({ timeS: [FLOOD * 2] });
    hub.publish(update(0.5));
    expect(transport.messages.at(-1)).toMatchObject({ type: 'update', timeS: 0.5 });
  });

  test('between the marks nothing changes hands: sending starts again only under the lower one', async () => {
    const { clock, hub, join } = bench();
    const { transport } = join();
    transport.stall();
    for (let n = 0; n < FLOOD; n++) hub.publish(update(n));
    const backlog = transport.bufferedBytes();
    transport.drain(backlog - LOWER_MARK_BYTES - 5_000);
    expect(transport.bufferedBytes()).toBeGreaterThan(LOWER_MARK_BYTES);
    const waiting = transport.bufferedBytes();
    await clock.advance(10 * FLUSH_MS);
    hub.publish(update(99));
    expect(transport.bufferedBytes()).toBe(waiting);
    transport.drain(10_000);
    await clock.advance(FLUSH_MS);
    expect(transport.bufferedBytes()).toBeGreaterThan(waiting - 10_000);
    transport.drain();
    expect(transport.messages.at(-1)).toMatchObject({ type: 'update', timeS: 99 });
  });

  test('events are never folded and arrive in order, before the newest values', async () => {
    const { clock, hub, join } = bench();
    const { transport } = join();
    transport.stall();
    for (let n = 0; n < FLOOD; n++) hub.publish(update(n));
    for (let n = 0; n < 100; n++) {
      hub.publish(event(n));
      hub.publish(update(n));
    }
    transport.drain();
    await clock.advance(FLUSH_MS);
    const events = transport.messages.filter(({ type }) => type === 'event');
    expect(events.map((message) => (message as { capture: CaptureSummary }).capture.idleRpm)).toEqual(
      Array.from({ length: 100 }, (_, n) => n),
    );
    expect(transport.types.lastIndexOf('event')).toBeLessThan(transport.types.lastIndexOf('update'));
  });

  test('a viewer that is too many events behind is cut off, and the others go on', () => {
    const { hub, join } = bench();
    const stalled = join();
    const healthy = join();
    stalled.transport.stall();
    for (let n = 0; n < FLOOD; n++) hub.publish(update(n));
    for (let n = 0; n <= MAX_HELD_EVENTS; n++) hub.publish(event(n));
    expect(stalled.transport.terminated).toBe(true);
    expect(hub.viewers).toBe(1);
    expect(healthy.transport.types.filter((type) => type === 'event')).toHaveLength(MAX_HELD_EVENTS + 1);
  });

  test('a slow viewer holds up nobody: the others get every message', () => {
    const { hub, join } = bench();
    const slow = join();
    const quick = join();
    slow.transport.stall();
    for (let n = 0; n < FLOOD * 2; n++) hub.publish(update(n));
    expect(quick.transport.types.filter((type) => type === 'update')).toHaveLength(FLOOD * 2);
    expect(hub.folded).toBeGreaterThan(FLOOD / 2);
  });

  test('a viewer that does not answer a ping is cut off at the next', async () => {
    const { clock, hub, join } = bench();
    const dead = join();
    const alive = join();
    await clock.advance(HEARTBEAT_MS);
    expect([dead.transport.pings, alive.transport.pings]).toEqual([1, 1]);
    alive.seat.pong();
    await clock.advance(HEARTBEAT_MS);
    expect([dead.transport.terminated, alive.transport.terminated]).toEqual([true, false]);
    expect(hub.viewers).toBe(1);
  });

  test('there is room for a bounded number of viewers, and a seat that is left is free again', () => {
    const { hub, join } = bench();
    const seats = Array.from({ length: MAX_VIEWERS }, join);
    expect(hub.join(new FakeTransport())).toBeNull();
    seats[0]!.seat.leave();
    seats[0]!.seat.leave();
    expect(hub.join(new FakeTransport())).not.toBeNull();
  });

  test('a message beyond all bounds is not sent but told of', () => {
    const { hub, join, troubles } = bench();
    const { transport } = join();
    hub.publish({
      type: 'pulses',
      timeS: Array(MAX_MESSAGE_CHARACTERS / 4).fill(0.123),
      absoluteKpa: [],
      folded: [],
    });
    expect(transport.types).toEqual(['hello', 'snapshot']);
    expect(troubles).toHaveLength(1);
  });

  test('stopping leaves no timer', () => {
    const { clock, hub } = bench();
    hub.stop();
    expect(clock.pending).toBe(0);
  });
});
