import { SerialPort } from 'serialport';
import type { ByteSource, ByteStreamHandlers, SourceErrorCode, StreamEnd } from './byte-source.ts';

/** Tried in turn until a board can be read; the first is the speed of the reference firmware. */
export const BAUD_RATES = [500_000, 115_200, 1_000_000] as const;

/** A board on a serial port. Every open makes a new port object: one that was unplugged is dead for good. */
export class SerialSource implements ByteSource {
  readonly kind = 'serial';
  readonly address: string;
  readonly baudRates = BAUD_RATES;
  readonly #path: string;

  constructor(path: string) {
    this.#path = path;
    this.address = `serial:${path}`;
  }

  open(handlers: ByteStreamHandlers, baudRate: number = BAUD_RATES[0]): ReturnType<ByteSource['open']> {
    return new Promise((resolve) => {
      const port = new SerialPort({
        path: this.#path,
        baudRate,
        autoOpen: false,
      });
      let closed = false;
      let resolveClosed: () => void = () => {};
      const whenClosed = new Promise<void>((done) => {
        resolveClosed = done;
      });
      // A cable found missing by a write ends the port twice; the person is told once.
      const finish = (end: StreamEnd) => {
        if (closed) return;
        closed = true;
        resolveClosed();
        handlers.onClose(end);
      };
      port.on('data', (chunk: Buffer) => {
        if (!closed) handlers.onBytes(chunk);
      });
      port.on('end', () => finish({ code: 'source-unplugged', detail: 'end of data' }));
      port.on('close', (error?: Error | null) =>
        finish({
          code: 'source-unplugged',
          detail: error?.message ?? 'closed',
        }),
      );
      port.on('error', (error) => {
        if (port.isOpen) port.close(() => {});
        finish({
          code: GONE.test(error.message) ? 'source-unplugged' : 'source-failed',
          detail: error.message,
        });
      });
      port.open((error) => {
        if (error) {
          closed = true;
          resolve({
            ok: false,
            end: { code: openErrorCode(error.message), detail: error.message },
          });
          return;
        }
        resolve({
          ok: true,
          stream: {
            write(text) {
              if (!closed) port.write(text, 'latin1', () => {});
            },
            close() {
              if (!closed && port.isOpen) port.close(() => resolveClosed());
              return whenClosed;
            },
          },
        });
      });
    });
  }
}

/** What systems say of a port whose cable is out, or is being pulled just now. */
const GONE =
  /ENOENT|ENODEV|ENXIO|EIO\b|EBADF|no such file|file not found|no such device|input\/output error|bad file descriptor/i;

/** The system's words for why a port did not open, on Linux, macOS and Windows. */
export function openErrorCode(message: string): SourceErrorCode {
  if (/EACCES|EPERM|permission denied/i.test(message)) return 'source-no-permission';
  // Windows says 'Access denied' for a port that another program holds.
  if (/EBUSY|cannot lock|locked|access denied|resource busy/i.test(message)) return 'source-in-use';
  if (GONE.test(message)) return 'source-not-found';
  return 'source-failed';
}
