import { createReadStream } from 'node:fs';
import { open as openFile } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import type { Clock } from '../clock.ts';
import type { ByteSource, ByteStreamHandlers, StreamEnd } from './byte-source.ts';
import { parseChunk, RECORDING_HEADER } from './recording.ts';

/** Plays a recording of a board's bytes at the speed at which they came. */
export class ReplaySource implements ByteSource {
  readonly kind = 'replay';
  readonly address: string;
  readonly #file: string;
  readonly #clock: Clock;

  constructor(file: string, clock: Clock) {
    this.#file = file;
    this.#clock = clock;
    this.address = `replay:${file}`;
  }

  async open(handlers: ByteStreamHandlers): ReturnType<ByteSource['open']> {
    const refusal = await this.#refusal();
    if (refusal !== null) return { ok: false, end: refusal };
    let cancelWait: () => void = () => {};
    let over = false;
    const finish = (end: StreamEnd) => {
      if (over) return;
      over = true;
      cancelWait();
      handlers.onClose(end);
    };
    const play = async () => {
      // A recording starts with a whole line: the newline tells the splitter so.
      handlers.onBytes(Uint8Array.of(0x0a));
      const startedMs = this.#clock.nowMs();
      const lines = createInterface({
        input: createReadStream(this.#file),
        crlfDelay: Infinity,
      });
      let lineNumber = 0;
      for await (const line of lines) {
        if (over) break;
        lineNumber++;
        if (lineNumber === 1) continue;
        const chunk = parseChunk(line);
        if (chunk === null) continue;
        const waitMs = startedMs + chunk.atMs - this.#clock.nowMs();
        if (waitMs > 0) {
          await new Promise<void>((resume) => {
            const cancelTimer = this.#clock.after(waitMs, resume);
            cancelWait = () => {
              cancelTimer();
              resume();
            };
          });
        }
        if (!over) handlers.onBytes(chunk.bytes);
      }
      lines.close();
      finish({ code: 'source-ended', detail: `${lineNumber} lines played` });
    };
    // The caller gets its stream before the first byte.
    this.#clock.after(0, () => {
      play().catch((error: Error) => finish({ code: 'source-failed', detail: error.message }));
    });
    return {
      ok: true,
      stream: {
        write() {},
        async close() {
          finish({ code: 'source-ended', detail: 'closed' });
        },
      },
    };
  }

  async #refusal(): Promise<StreamEnd | null> {
    try {
      const file = await openFile(this.#file, 'r');
      try {
        const head = Buffer.alloc(RECORDING_HEADER.length);
        await file.read(head, 0, head.length, 0);
        if (head.toString('latin1') === RECORDING_HEADER) return null;
        return {
          code: 'source-failed',
          detail: `not a recording: it does not start with "${RECORDING_HEADER}"`,
        };
      } finally {
        await file.close();
      }
    } catch (error) {
      const { code, message } = error as NodeJS.ErrnoException;
      if (code === 'ENOENT') return { code: 'source-not-found', detail: message };
      if (code === 'EACCES') return { code: 'source-no-permission', detail: message };
      return { code: 'source-failed', detail: message };
    }
  }
}
