import { createWriteStream } from 'node:fs';
import type { Clock } from '../clock.ts';
import type { ByteSource, ByteStreamHandlers } from './byte-source.ts';
import { formatChunk, RECORDING_HEADER } from './recording.ts';

/**
 * A file that chunks are written to with their times. Trouble with it never troubles the measuring: it is told
 * once and recording stops.
 */
export class RecordingFile {
  readonly #clock: Clock;
  readonly #startedMs: number;
  #write: (text: string) => void;

  constructor(file: string, clock: Clock, onTrouble: (detail: string) => void) {
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

  write(chunk: Uint8Array): void {
    this.#write(formatChunk(this.#clock.nowMs() - this.#startedMs, chunk));
  }
}

/** Passes another source through and writes down what comes from it, for `replay:FILE`. */
export class RecordingSource implements ByteSource {
  readonly #inner: ByteSource;
  readonly #file: RecordingFile;

  constructor(inner: ByteSource, file: RecordingFile) {
    this.#inner = inner;
    this.#file = file;
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
          this.#file.write(chunk);
          handlers.onBytes(chunk);
        },
        onClose: (end) => handlers.onClose(end),
      },
      baudRate,
    );
  }
}
