import type { Clock } from '../clock.ts';
import type { ErrorCode } from '../error-catalogue.ts';
import type { ByteSource } from './byte-source.ts';
import { type ProbeResult, probeBoard } from './probe-board.ts';

export interface AutoSourceOptions {
  readonly listPorts: () => Promise<readonly string[]>;
  readonly openPort: (path: string) => ByteSource;
  readonly practice: ByteSource;
  readonly clock: Clock;
  /** Makes this source the one that is measured. */
  readonly choose: (source: ByteSource) => void;
  /** Whether the present source may be left for the board found; false while a capture would be torn. */
  readonly mayLeaveFor: (boardId: string) => boolean;
  /** Whether a real board is being measured just now: then nothing is looked for. */
  readonly isRealBoardLive: () => boolean;
  /** Why no board is in use, or null; for the person. */
  readonly onTrouble: (code: ErrorCode | null) => void;
}

export const SCAN_INTERVAL_MS = 1_000;
/** Three line speeds with a bootloader's silence in front of each. */
export const PROBE_PATIENCE_MS = 15_000;
/** After this long without a board the practice engine runs, and looking goes on. */
export const PRACTICE_AFTER_MS = 6_000;
/** A port that did not answer is left alone for this long: opening it may reset what hangs on it. */
export const PROBE_AGAIN_FIRST_MS = 30_000;
export const PROBE_AGAIN_LONGEST_MS = 300_000;
/** A port that could not even be opened is not disturbed by trying again soon. */
export const OPEN_AGAIN_MS = 3_000;

interface PortMemory {
  probing: boolean;
  failures: number;
  notBeforeMs: number;
  code: ErrorCode | null;
}

/**
 * Looks for a board on every USB serial port, for ever. Until one is found the practice engine is measured;
 * once a real board was in use there is no way back to practice by itself, since a pulled cable must not turn
 * into a made-up engine. A board that comes back on another port is found there.
 */
export class AutoSource {
  readonly #options: AutoSourceOptions;
  readonly #ports = new Map<string, PortMemory>();
  #current: { readonly path: string | null } | null = null;
  #running = false;
  #cancelScan: () => void = () => {};
  #cancelFallback: () => void = () => {};
  #abort = new AbortController();
  readonly #probes = new Set<Promise<void>>();

  constructor(options: AutoSourceOptions) {
    this.#options = options;
  }

  start(): void {
    this.#running = true;
    this.#cancelFallback = this.#options.clock.after(PRACTICE_AFTER_MS, () => this.#fallBack());
    void this.#scan();
  }

  /** Resolves when every port that was being tried is free again. */
  async stop(): Promise<void> {
    this.#running = false;
    this.#cancelScan();
    this.#cancelFallback();
    this.#abort.abort();
    await Promise.all(this.#probes);
  }

  async #scan(): Promise<void> {
    const { clock, listPorts, isRealBoardLive } = this.#options;
    if (!isRealBoardLive()) {
      const paths = await listPorts();
      if (!this.#running) return;
      for (const known of this.#ports.keys()) if (!paths.includes(known)) this.#ports.delete(known);
      for (const path of paths) this.#consider(path);
      if (paths.length === 0) this.#fallBack();
      this.#tell();
    }
    this.#cancelScan = clock.after(SCAN_INTERVAL_MS, () => void this.#scan());
  }

  #consider(path: string): void {
    if (path === this.#current?.path) return;
    const nowMs = this.#options.clock.nowMs();
    const memory = this.#ports.get(path) ?? {
      probing: false,
      failures: 0,
      notBeforeMs: nowMs,
      code: null,
    };
    this.#ports.set(path, memory);
    if (memory.probing || nowMs < memory.notBeforeMs) return;
    memory.probing = true;
    const probe = this.#probe(path, memory).finally(() => this.#probes.delete(probe));
    this.#probes.add(probe);
  }

  async #probe(path: string, memory: PortMemory): Promise<void> {
    const { clock, openPort } = this.#options;
    const result = await probeBoard(openPort(path), clock, PROBE_PATIENCE_MS, this.#abort.signal);
    memory.probing = false;
    if (!this.#running) return;
    if (!result.ok) {
      memory.failures++;
      memory.code = result.code;
      memory.notBeforeMs = clock.nowMs() + pauseMs(result, memory.failures);
      this.#tell();
      return;
    }
    memory.code = null;
    memory.failures = 0;
    if (this.#options.isRealBoardLive() || !this.#options.mayLeaveFor(result.identity.boardId)) {
      memory.notBeforeMs = clock.nowMs() + OPEN_AGAIN_MS;
      return;
    }
    this.#take(path, openPort(path));
  }

  #take(path: string | null, source: ByteSource): void {
    this.#cancelFallback();
    this.#current = { path };
    this.#options.choose(source);
    this.#tell();
  }

  #fallBack(): void {
    if (this.#running && this.#current === null) this.#take(null, this.#options.practice);
  }

  #tell(): void {
    if (this.#current !== null && this.#current.path !== null) {
      this.#options.onTrouble(null);
      return;
    }
    const codes = [...this.#ports.values()].map((memory) => memory.code);
    const worthTelling = codes.find((code) => code !== null && !QUIET.has(code));
    this.#options.onTrouble(worthTelling ?? 'board-not-found');
  }
}

/** Any USB device may be silent or speak another language: that alone is no trouble. */
const QUIET: ReadonlySet<ErrorCode> = new Set<ErrorCode>([
  'board-silent',
  'board-unreadable',
  'source-unplugged',
  'source-not-found',
]);

function pauseMs(result: Extract<ProbeResult, { ok: false }>, failures: number): number {
  if (result.code.startsWith('source-')) return OPEN_AGAIN_MS;
  return Math.min(PROBE_AGAIN_LONGEST_MS, PROBE_AGAIN_FIRST_MS * 2 ** Math.min(failures - 1, 10));
}
