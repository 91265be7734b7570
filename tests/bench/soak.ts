import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate as breath } from 'node:timers/promises';
import type { ByteSource, ByteStreamHandlers } from '../../server/board/byte-source.ts';
import { PracticeSource } from '../../server/board/practice-source.ts';
import { openStore } from '../../server/jobs/open-store.ts';
import type { LiveTransport } from '../../server/live/live-client.ts';
import { LiveHub, type LiveSeat } from '../../server/live/live-hub.ts';
import { channelScalesFor } from '../../server/session/channel-scales.ts';
import { MeasuringSession } from '../../server/session/measuring-session.ts';
import { newInstrument } from '../../server/session/new-instrument.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { WorkshopClock } from '../faults/workshop-clock.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

const SHIFT_S = 8 * 3600;
/** Shorter, and nothing would have happened in it. */
const LEAST_SHIFT_S = 400;
const LAYOUT = 'twin-180';
/** How often something happens in the shop [s]. */
const CAPTURE_EVERY_S = 600;
const CAPTURE_S = 60;
const UNPLUG_EVERY_S = 1_020;
const VIEWER_EVERY_S = 180;
const MOST_VIEWERS = 12;
const LOOK_EVERY_S = 60;
/** Memory is compared between these parts of the shift, each by its lowest figure: what is left after tidying up. */
const PART = 0.25;
const MOST_GROWTH_MB = 16;
/** Of two channels and a time, compressed, with the database's own pages. */
const MOST_BYTES_A_SAMPLE = 8;

/** A shift of eight hours with everything that happens in one, on a clock as quick as the computer. */
export async function soakRows({
  seed,
  scale,
}: {
  readonly seed: number;
  readonly scale: number;
}): Promise<AccuracyRow[]> {
  const random = seededRandom(seed, 401);
  const folder = mkdtempSync(join(tmpdir(), 'idlewright-soak-'));
  const opened = await openStore(folder);
  if (!opened.ok) throw new Error(opened.detail);
  const { store } = opened;
  const clock = new WorkshopClock();
  const cable = new PulledNowAndThen(new PracticeSource({ clock, layout: LAYOUT, seed }));
  const session: MeasuringSession = new MeasuringSession({
    clock,
    store: store.captures,
    setup: null,
    softwareVersion: '0.0.0-soak',
    scalesFor: (identity) => channelScalesFor(identity),
    newInstrument,
    publish: (message) => hub.publish(message),
    saveSetup: () => {},
    log: () => {},
  });
  const hub = new LiveHub({
    clock,
    serverStartId: 'soak',
    softwareVersion: '0.0.0-soak',
    snapshot: () => ({
      type: 'snapshot',
      source: session.source,
      setup: session.setup,
      update: session.update,
      captures: session.captures,
      practice: null,
    }),
    onTrouble: () => {},
  });
  const shiftS = Math.max(LEAST_SHIFT_S, SHIFT_S * scale);
  const viewers: LiveSeat[] = [];
  const heapMb: number[] = [];
  let captured = 0;
  let unplugs = 0;
  let comings = 0;
  let running: { readonly id: string; readonly sinceS: number } | null = null;
  const startedMs = performance.now();
  session.useSource(cable);
  await clock.advance(2_000);
  const filesBefore = openFiles();
  const timersBefore = clock.pending;
  const bytesBefore = folderBytes(folder);

  for (let atS = 1; atS <= shiftS; atS++) {
    if (atS % UNPLUG_EVERY_S === 0) {
      cable.pull();
      unplugs++;
    }
    if (atS % UNPLUG_EVERY_S === Math.round(random.between(2, 30))) cable.plugIn();
    if (atS % UNPLUG_EVERY_S === 31) cable.plugIn();
    if (running === null && atS % CAPTURE_EVERY_S === 100) {
      const started = session.startCapture(random.uniform() < 0.5 ? 'before' : 'after');
      if (started.ok) running = { id: started.value.id, sinceS: atS };
    }
    if (running !== null && atS - running.sinceS >= CAPTURE_S) {
      const stopped = session.stopCapture(running.id);
      if (stopped.ok) captured += stopped.value.samples;
      running = null;
    }
    if (atS % VIEWER_EVERY_S === 0) {
      if (viewers.length >= MOST_VIEWERS || (viewers.length > 0 && random.uniform() < 0.4)) {
        viewers.splice(random.index(viewers.length), 1)[0]!.leave();
      } else {
        const seat = takeSeat(hub, random.uniform() < 0.25);
        if (seat !== null) viewers.push(seat);
        comings++;
      }
    }
    await clock.advance(1_000);
    if (atS % LOOK_EVERY_S === 0) {
      await breath();
      heapMb.push(process.memoryUsage().heapUsed / 2 ** 20);
    }
  }
  for (const seat of viewers) seat.leave();
  const lost = session.source.counters['lost-samples'] ?? 0;
  const files = openFiles() - filesBefore;
  const timers = clock.pending - timersBefore;
  const stopped = session.stop();
  await clock.advance(2_000);
  await stopped;
  hub.stop();
  // Closing leaves one whole file, without the journal that is written over again and again.
  await store.close();
  const grown = folderBytes(folder) - bytesBefore;
  rmSync(folder, { recursive: true, force: true });

  const part = Math.max(1, Math.floor(heapMb.length * PART));
  const first = Math.min(...heapMb.slice(0, part));
  const last = Math.min(...heapMb.slice(-part));
  const shift = `${(shiftS / 3600).toFixed(1)} h in ${((performance.now() - startedMs) / 1000).toFixed(0)} s: ${captured} samples in captures, ${unplugs} unplugs, ${comings} screens that came`;
  const one = (what: string, unit: string, figure: number, most: number, more: string) =>
    accuracyRow(what, unit, [{ label: `seed ${seed}`, value: figure }], {
      pooled: figure,
      bound: `<= ${most}`,
      holds: figure <= most && captured > 0,
      reference: more,
    });
  return [
    one(
      'growth of memory over a shift',
      'MB',
      last - first,
      MOST_GROWTH_MB,
      `${first.toFixed(0)} MB at first, ${last.toFixed(0)} MB at last; ${shift}`,
    ),
    one('open files that are left', 'files', files, 0, 'those of the process after against before'),
    one('timers that are left', 'timers', timers, 0, 'on the clock of the whole program'),
    one(
      'samples lost between board and measurement',
      'samples',
      lost,
      0,
      'a pulled cable loses none: the board begins anew',
    ),
    one(
      'growth of the data folder',
      'bytes a captured sample',
      grown / Math.max(1, captured),
      MOST_BYTES_A_SAMPLE,
      `${(grown / 2 ** 20).toFixed(1)} MB in all`,
    ),
  ];
}

/** The practice board on a cable that the soak pulls. */
class PulledNowAndThen implements ByteSource {
  readonly kind = 'practice';
  readonly address = 'practice';
  readonly #inner: ByteSource;
  #in = true;
  #pull: () => void = () => {};

  constructor(inner: ByteSource) {
    this.#inner = inner;
  }

  pull(): void {
    this.#in = false;
    this.#pull();
  }

  plugIn(): void {
    this.#in = true;
  }

  async open(handlers: ByteStreamHandlers): ReturnType<ByteSource['open']> {
    if (!this.#in) return { ok: false, end: { code: 'source-not-found', detail: 'pulled' } };
    let over = false;
    const opened = await this.#inner.open({
      onBytes: (chunk) => {
        if (!over) handlers.onBytes(chunk);
      },
      onClose: (end) => {
        if (!over) handlers.onClose(end);
        over = true;
      },
    });
    if (!opened.ok) return opened;
    this.#pull = () => {
      if (over) return;
      over = true;
      void opened.stream.close();
      handlers.onClose({ code: 'source-unplugged', detail: 'pulled' });
    };
    return opened;
  }
}

/** A screen that takes everything, or one whose network is stuck. */
function takeSeat(hub: LiveHub, stuck: boolean): LiveSeat | null {
  let waiting = 0;
  let seat: LiveSeat | null = null;
  const transport: LiveTransport = {
    send: (text) => {
      if (stuck) waiting += text.length;
    },
    bufferedBytes: () => waiting,
    ping: () => seat?.pong(),
    terminate: () => {},
  };
  seat = hub.join(transport);
  return seat;
}

function folderBytes(folder: string): number {
  return readdirSync(folder).reduce((sum, name) => sum + statSync(join(folder, name)).size, 0);
}

/** From /proc, so this bench runs on Linux only. */
function openFiles(): number {
  return readdirSync('/proc/self/fd').length;
}
