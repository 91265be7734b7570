import type { Clock } from '../clock.ts';
import type { PracticePatch, PracticeState } from '../contract/practice.ts';
import { DEFAULT_LAYOUT_ID } from '../practice/layouts.ts';
import { PracticeBench } from '../practice/practice-bench.ts';
import { PracticeBoard } from '../practice/practice-board.ts';
import { applyPatch, panelState, patchRefusal } from '../practice/practice-panel.ts';
import type { ByteSource, ByteStreamHandlers } from './byte-source.ts';

export interface PracticeSourceOptions {
  readonly clock: Clock;
  readonly seed?: number;
  readonly layout?: string;
  /** Called after every change of the panel: a patch, or an engine that stalled or has come alive. */
  readonly onPracticeState?: (state: PracticeState) => void;
}

export type PatchOutcome =
  | { readonly ok: true; readonly value: PracticeState }
  | { readonly ok: false; readonly code: 'practice-bad-setting'; readonly detail: string };

/** How often bytes are handed on [ms]; a real USB-serial bridge does so every few milliseconds. */
export const CHUNK_MS = 10;

/**
 * The practice engine behind a board that speaks the line protocol, in real time. The engine is kept from one
 * open to the next and stands still in between; the board starts anew with every open, like a real one.
 */
export class PracticeSource implements ByteSource {
  readonly kind = 'practice';
  readonly address = 'practice';
  readonly #options: PracticeSourceOptions;
  #bench: PracticeBench;
  #board: PracticeBoard | null = null;
  #wasRunning = true;

  /** @throws RangeError for an unknown layout */
  constructor(options: PracticeSourceOptions) {
    this.#options = options;
    this.#bench = newBench(options.layout ?? DEFAULT_LAYOUT_ID, options.seed ?? DEFAULT_SEED);
  }

  /** What the panel shows. */
  practiceState(): PracticeState {
    return panelState(this.#bench);
  }

  /**
   * Turns screws, makes faults, starts or stops the engine. All of the patch is carried out or, with the reason as
   * a sentence, none of it. A layout puts another engine on the bench, with its screws where they start.
   */
  applyPracticePatch(patch: PracticePatch): PatchOutcome {
    const detail = patchRefusal(patch, this.#bench.layout);
    if (detail !== null) return { ok: false, code: 'practice-bad-setting', detail };
    const { sensors } = this.#bench;
    const layout = patch.layout ?? this.#bench.layout.id;
    const otherEngine = layout !== this.#bench.layout.id;
    if (otherEngine) {
      this.#bench = newBench(layout, this.#options.seed ?? DEFAULT_SEED);
      this.#bench.sensors = sensors;
    }
    applyPatch(this.#bench, patch);
    // Other sensors make another board of it, and it says so.
    if (otherEngine || this.#bench.sensors !== sensors) this.#board?.exchange(this.#bench);
    this.#wasRunning = this.#bench.running;
    const state = this.practiceState();
    this.#options.onPracticeState?.(state);
    return { ok: true, value: state };
  }

  /** Opens the throttle for a moment. */
  blip(): void {
    this.#bench.blip();
  }

  /** Covers or uncovers the leak hole of a cylinder, as a hand does. */
  coverLeak(cylinder: number, covered: boolean): void {
    if (cylinder < this.#bench.cylinders) this.#bench.controls.leakCovered[cylinder] = covered;
  }

  switchSpark(cylinder: number, on: boolean): void {
    if (cylinder < this.#bench.cylinders) this.#bench.switchSpark(cylinder, on);
  }

  /** The same three as the HTTP interface wants them. */
  get panel(): { state(): PracticeState; change(patch: PracticePatch): PatchOutcome; blip(): void } {
    return {
      state: () => this.practiceState(),
      change: (patch) => this.applyPracticePatch(patch),
      blip: () => this.blip(),
    };
  }

  /** The engine itself, with its truth. */
  get bench(): PracticeBench {
    return this.#bench;
  }

  async open(handlers: ByteStreamHandlers): ReturnType<ByteSource['open']> {
    if (this.#board !== null) {
      return { ok: false, end: { code: 'source-in-use', detail: 'the practice board is open already' } };
    }
    const { clock } = this.#options;
    const board = new PracticeBoard(this.#bench, clock.nowMs());
    this.#board = board;
    const cancelTimer = clock.every(CHUNK_MS, () => {
      const text = board.run(clock.nowMs());
      if (text !== '') handlers.onBytes(ASCII.encode(text));
      this.#watchEngine();
    });
    return {
      ok: true,
      stream: {
        write: (text) => {
          if (this.#board === board) board.command(text);
        },
        close: async () => {
          if (this.#board !== board) return;
          this.#board = null;
          cancelTimer();
          handlers.onClose({ code: 'source-ended', detail: 'closed' });
        },
      },
    };
  }

  /** An engine that stalls or comes alive changes the panel by itself. */
  #watchEngine(): void {
    if (this.#bench.running === this.#wasRunning) return;
    this.#wasRunning = this.#bench.running;
    this.#options.onPracticeState?.(this.practiceState());
  }
}

function newBench(layout: string, seed: number): PracticeBench {
  return new PracticeBench({
    layout,
    seed,
    sampleRateHz: PRACTICE_RATE_HZ,
    ambientKpa: PRACTICE_AMBIENT_KPA,
    conversionS: PRACTICE_CONVERSION_S,
    historyS: HISTORY_S,
    taps: { lagS: 0.002, noiseKpa: 0.12 },
  });
}

// The protocol is ASCII, of which UTF-8 is a superset.
const ASCII = new TextEncoder();
const DEFAULT_SEED = 1;
const PRACTICE_RATE_HZ = 500;
/** Truth is for tests; while the bench is played with a little of it is kept. */
const HISTORY_S = 5;
/** A day of fair weather a little above the sea. */
const PRACTICE_AMBIENT_KPA = 100.6;
/** 13 clocks of a 125 kHz converter, the usual one on small boards. */
const PRACTICE_CONVERSION_S = 0.000_104;
