import { afterEach, expect, test } from 'vitest';
import { PracticeSource } from '../../server/board/practice-source.ts';
import { systemClock } from '../../server/clock.ts';
import type { Update } from '../../server/contract/live.ts';
import type { SampleChunk } from '../../server/jobs/capture-store.ts';
import { channelScalesFor } from '../../server/session/channel-scales.ts';
import { MeasuringSession } from '../../server/session/measuring-session.ts';
import { newInstrument } from '../../server/session/new-instrument.ts';
import { until } from './board/scripted-board.ts';
import { MemoryCaptureStore } from './session/memory-capture-store.ts';

/** Of the half second that each piece of a capture holds [ms]: as a worn memory card that is synced each time. */
const WRITE_MS = 250;
const PIECES = 6;

/** A disk on which each piece takes its time, and nothing of the program runs meanwhile. */
class SlowStore extends MemoryCaptureStore {
  /** Updates that had been sent when each piece was written. */
  readonly sentBefore: number[] = [];
  readonly #sent: () => number;

  constructor(sent: () => number) {
    super();
    this.#sent = sent;
  }

  override append(captureId: string, chunk: SampleChunk): void {
    this.sentBefore.push(this.#sent());
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, WRITE_MS);
    super.append(captureId, chunk);
  }
}

let session: MeasuringSession | null = null;
afterEach(() => session?.stop());

test('a slow disk under a capture holds back no screen: newer figures are sent between its pieces', async () => {
  const updates: Update[] = [];
  const store = new SlowStore(() => updates.length);
  session = new MeasuringSession({
    clock: systemClock,
    store,
    setup: null,
    softwareVersion: '0.0.0-test',
    publish: (message) => {
      if (message.type === 'update') updates.push(message);
    },
    saveSetup: () => {},
    log: () => {},
    scalesFor: channelScalesFor,
    newInstrument,
  });
  session.useSource(new PracticeSource({ clock: systemClock, onPracticeState: () => {} }));
  await until('live', () => updates.some(({ engine }) => engine.running));
  const started = session.startCapture('before');
  if (!started.ok) throw new Error(started.code);
  await until('pieces are written', () => store.sentBefore.length >= PIECES);
  const stopped = session.stopCapture(started.value.id);
  expect(stopped).toMatchObject({ ok: true, value: { state: 'complete' } });

  const sent = store.sentBefore.at(-1)! - store.sentBefore[0]!;
  expect(sent).toBeGreaterThanOrEqual(store.sentBefore.length - 1);
  const times = updates.map(({ timeS }) => timeS ?? Number.NaN);
  expect(new Set(times.slice(-sent)).size).toBeGreaterThan(PIECES / 2);
});
