import { connect } from 'node:net';
import type { ByteSource, ByteStreamHandlers, SourceErrorCode, StreamEnd } from './byte-source.ts';

const CONNECT_TIMEOUT_MS = 5_000;
/** A bridge that loses power sends no goodbye; keep-alive finds it out. */
const KEEP_ALIVE_MS = 5_000;

/** A board behind a bridge that hands the serial bytes over TCP as they are. */
export class TcpSource implements ByteSource {
  readonly kind = 'tcp';
  readonly address: string;
  readonly #host: string;
  readonly #port: number;

  constructor(host: string, port: number) {
    this.#host = host;
    this.#port = port;
    this.address = `tcp:${host.includes(':') ? `[${host}]` : host}:${port}`;
  }

  open(handlers: ByteStreamHandlers): ReturnType<ByteSource['open']> {
    return new Promise((resolve) => {
      const socket = connect({
        host: this.#host,
        port: this.#port,
        noDelay: true,
      });
      socket.setTimeout(CONNECT_TIMEOUT_MS, () => socket.destroy(new Error('ETIMEDOUT while connecting')));
      socket.setKeepAlive(true, KEEP_ALIVE_MS);
      let connected = false;
      let lastError: NodeJS.ErrnoException | null = null;
      const whenClosed = new Promise<void>((done) => socket.once('close', () => done()));
      socket.on('error', (error) => {
        lastError = error;
      });
      socket.on('data', (chunk) => handlers.onBytes(chunk));
      socket.on('end', () => socket.destroy());
      socket.on('close', () => {
        const end: StreamEnd = {
          code: connected ? 'source-unplugged' : connectErrorCode(lastError?.code),
          detail: lastError?.message ?? 'closed by the other side',
        };
        if (connected) handlers.onClose(end);
        else resolve({ ok: false, end });
      });
      socket.on('connect', () => {
        connected = true;
        socket.setTimeout(0);
        resolve({
          ok: true,
          stream: {
            write(text) {
              if (!socket.destroyed) socket.write(text, 'latin1');
            },
            close() {
              socket.destroy();
              return whenClosed;
            },
          },
        });
      });
    });
  }
}

function connectErrorCode(code: string | undefined): SourceErrorCode {
  if (code === 'ENOTFOUND' || code === 'EAI_AGAIN') return 'source-not-found';
  if (code === 'EACCES' || code === 'EPERM') return 'source-no-permission';
  return 'source-refused';
}
