import { createWriteStream } from 'node:fs';
import type { Clock } from '../clock.ts';
import type { ByteSource, ByteStreamHandlers } from './byte-source.ts';
import { formatChunk, RECORDING_HEADER } from './recording.ts';

/**
 * Passes another source through and writes what comes from it to a file that `replay:FILE` plays back.
 * Trouble with the file never troubles the measuring: it is reported once and recording stops.
 */
export class RecordingSource implements ByteSource {
  readonly #inner: ByteSource;
  readonly #clock: Clock;
  readonly #startedMs: number;
  #write: (text: string) => void;

  constructor(inner: ByteSource, file: string, clock: Clock, onTrouble: (detail: string) => void) {
    this.#inner = inner;
    this.#clock = clock;
    this.#startedMs = clock.nowMs();
    const out = createWriteStream(file);
    this.#write = (text) => {
      out.write(text);
    };
    out.on('error', (error) => {
      this.#write = () => {};
      onTrouble(error.message);
    });
    this.#write(`${RECORDING_HEADER}\n`);
  }

  get kind() {
    return this.#inner.kind;
  }

  get address() {
    return this.#inner.address;
  }

  get baudRates() {
    return this.#inner.baudRates ?? [];
  }

  open(handlers: ByteStreamHandlers, baudRate?: number): ReturnType<ByteSource['open']> {
    return this.#inner.open(
      {
        onBytes: (chunk) => {
          this.#write(formatChunk(this.#clock.nowMs() - this.#startedMs, chunk));
          handlers.onBytes(chunk);
        },
        onClose: (end) => handlers.onClose(end),
      },
      baudRate,
    );
  }
}
