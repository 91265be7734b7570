import { AutoSource } from '../../server/board/auto-source.ts';
import type { ByteSource, ByteStreamHandlers } from '../../server/board/byte-source.ts';
import { BAUD_RATES } from '../../server/board/serial-source.ts';
import type { LiveMessage, Update } from '../../server/contract/live.ts';
import { channelScalesFor, EXACT_BOARD_ID } from '../../server/session/channel-scales.ts';
import { MeasuringSession } from '../../server/session/measuring-session.ts';
import { newInstrument } from '../../server/session/new-instrument.ts';
import { DEFAULT_SETUP } from '../../server/session/setup-change.ts';
import type { SeededRandom } from '../engines/seeded-random.ts';
import { MemoryCaptureStore } from '../server/session/memory-capture-store.ts';
import type { FaultyBoard } from './faulty-board.ts';
import { FaultyCable, wrongSpeed } from './faulty-cable.ts';
import { AlteredLines, LineTap } from './line-tap.ts';
import { WorkshopClock } from './workshop-clock.ts';

/** How often bytes are handed on [ms]. */
const CHUNK_MS = 10;

interface Plugged {
  readonly board: FaultyBoard;
  readonly cable: FaultyCable;
  stream: {
    readonly handlers: ByteStreamHandlers;
    readonly tap: LineTap;
    readonly end: () => void;
  } | null;
}

/** A computer with USB ports, boards to plug into them, and the whole way from bytes to live messages. */
export class Workshop {
  readonly clock = new WorkshopClock();
  readonly random: SeededRandom;
  readonly session: MeasuringSession;
  readonly store = new MemoryCaptureStore();
  readonly altered = new AlteredLines();
  readonly #ports = new Map<string, Plugged>();
  readonly #auto: AutoSource;
  /** True time that passed while the computer slept [ms]. */
  #sleptMs = 0;

  constructor(cylinders: number, random: SeededRandom, onMessage: (message: LiveMessage) => void) {
    this.random = random;
    const { clock } = this;
    this.session = new MeasuringSession({
      clock,
      store: this.store,
      setup: { ...DEFAULT_SETUP, cylinders },
      softwareVersion: '0.0.0-test',
      publish: onMessage,
      saveSetup: () => {},
      log: () => {},
      // The sensors of these engines are exact, so that an error is one of the measurement.
      scalesFor: (identity) => channelScalesFor({ ...identity, boardId: EXACT_BOARD_ID }),
      newInstrument,
    });
    this.#auto = new AutoSource({
      clock,
      practice: silentSource,
      listPorts: async () => [...this.#ports.keys()],
      openPort: (path) => this.#port(path),
      choose: (source) => this.session.useSource(source),
      isRealBoardLive: () => this.session.live && !this.session.source.practice,
      mayLeaveFor: (boardId) => {
        const captured = this.session.capturedBoard;
        return captured === null || (!captured.practice && captured.boardId === boardId);
      },
      onTrouble: (code) => this.session.setTrouble(code),
    });
    this.#auto.start();
  }

  /** Time as it passes for boards and engines [ms]. */
  get trueMs(): number {
    return this.clock.nowMs() + this.#sleptMs;
  }

  get update(): Update | null {
    return this.session.update;
  }

  /** The board that the session listens to, or null. */
  get heardBoard(): FaultyBoard | null {
    const { boardId, address } = this.session.source;
    const plugged = this.#ports.get(address.replace(/^serial:/, ''));
    return plugged?.board.boardId === boardId ? plugged.board : null;
  }

  plugIn(path: string, board: FaultyBoard, powerUp = true): void {
    if (this.#ports.has(path)) throw new Error(`${path} is taken`);
    if (powerUp) board.powerUp(this.trueMs, this.random.uniform());
    this.#ports.set(path, { board, cable: new FaultyCable(this.random), stream: null });
  }

  /** @param throughBytes of what the board says just now still arrive */
  unplug(path: string, throughBytes = 0): void {
    const plugged = this.#ports.get(path);
    if (plugged === undefined) throw new Error(`nothing is plugged into ${path}`);
    this.#ports.delete(path);
    plugged.cable.pulled();
    const { stream } = plugged;
    if (stream === null) return;
    const last = Buffer.from(plugged.board.run(this.trueMs + CHUNK_MS), 'latin1').subarray(0, throughBytes);
    if (last.length > 0) stream.handlers.onBytes(last);
    stream.end();
    stream.handlers.onClose({ code: 'source-unplugged', detail: 'pulled' });
  }

  cable(path: string): FaultyCable {
    const plugged = this.#ports.get(path);
    if (plugged === undefined) throw new Error(`nothing is plugged into ${path}`);
    return plugged.cable;
  }

  /** The computer sleeps. Some systems' steady clock goes on meanwhile, others' stands still. */
  sleep(ms: number, clockGoesOn: boolean): void {
    for (const { board } of this.#ports.values()) board.skipTo(this.trueMs);
    if (clockGoesOn) this.clock.leap(ms);
    else this.#sleptMs += ms;
    this.clock.setWallBy(clockGoesOn ? 0 : ms);
    for (const { board, stream } of this.#ports.values()) {
      const left = board.skipTo(this.trueMs);
      if (left === '' || stream === null) continue;
      const bytes = Buffer.from(left, 'latin1');
      stream.tap.heard(bytes);
      stream.handlers.onBytes(bytes);
    }
  }

  async stop(): Promise<void> {
    const stopped = Promise.all([this.#auto.stop(), this.session.stop()]);
    await this.clock.advance(2_000);
    await stopped;
  }

  #port(path: string): ByteSource {
    return {
      kind: 'serial',
      address: `serial:${path}`,
      baudRates: BAUD_RATES,
      open: async (handlers, baudRate) => this.#open(path, handlers, baudRate ?? BAUD_RATES[0]),
    };
  }

  #open(
    path: string,
    handlers: ByteStreamHandlers,
    baudRate: number,
  ): Awaited<ReturnType<ByteSource['open']>> {
    const plugged = this.#ports.get(path);
    if (plugged === undefined) return { ok: false, end: { code: 'source-not-found', detail: path } };
    if (plugged.stream !== null) return { ok: false, end: { code: 'source-in-use', detail: path } };
    const { board, cable } = plugged;
    board.skipTo(this.trueMs);
    const tap = new LineTap(board.sentLines, this.altered);
    const pump = () => {
      const said = board.run(this.trueMs);
      if (said === '') return;
      const right = baudRate === board.baudRate;
      const chunks = right ? cable.through(said) : [wrongSpeed(said.length, this.random)];
      for (const chunk of chunks) {
        if (plugged.stream?.handlers !== handlers) return;
        // What comes at another line speed is noise and no altered line.
        if (right) tap.heard(chunk);
        handlers.onBytes(chunk);
      }
    };
    const cancel = this.clock.every(CHUNK_MS, pump);
    plugged.stream = { handlers, tap, end: cancel };
    return {
      ok: true,
      stream: {
        write: (text) => {
          if (baudRate === board.baudRate && plugged.stream?.handlers === handlers) board.command(text);
        },
        close: async () => {
          if (plugged.stream?.handlers !== handlers) return;
          cancel();
          plugged.stream = null;
          handlers.onClose({ code: 'source-ended', detail: 'closed' });
        },
      },
    };
  }
}

/** Stands where the practice engine does; it never has anything to say here. */
const silentSource: ByteSource = {
  kind: 'practice',
  address: 'practice',
  open: async () => ({ ok: true, stream: { write: () => {}, close: async () => {} } }),
};
