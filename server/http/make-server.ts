/** The server under the routes, with every limit that keeps a slow or greedy client from holding it up. */
import { createServer, type RequestListener, type Server } from 'node:http';
import { createServer as createTlsServer } from 'node:https';
import type { Socket } from 'node:net';
import type { Door } from './access/door.ts';

/** Address and headers of a request together; more is answered with 431. */
export const MAX_HEADER_BYTES = 16 * 1024;
/** For the headers to be there, also of a connection on which nothing was sent yet [ms]. */
export const HEADERS_TIMEOUT_MS = 10_000;
/** For a whole request; an import of a large record over a slow network takes the longest [ms]. */
export const REQUEST_TIMEOUT_MS = 30 * 60_000;
export const KEEP_ALIVE_MS = 5_000;
export const HANDSHAKE_TIMEOUT_MS = 10_000;
/** Open at once, at each door: one door that is crowded does not close the other. */
export const MAX_CONNECTIONS = 256;
/** From one address; a browser opens six and the live one, and several devices can stand behind one router. */
export const MAX_CONNECTIONS_PER_ADDRESS = 64;
const LOOK_AT_CONNECTIONS_EVERY_MS = 1_000;

export function makeServer(door: Door, listener: RequestListener): Server {
  const limits = {
    maxHeaderSize: MAX_HEADER_BYTES,
    headersTimeout: HEADERS_TIMEOUT_MS,
    requestTimeout: REQUEST_TIMEOUT_MS,
    keepAliveTimeout: KEEP_ALIVE_MS,
    connectionsCheckingInterval: LOOK_AT_CONNECTIONS_EVERY_MS,
  };
  const tls = door.kind === 'network' ? door.tls : null;
  const server =
    tls === null
      ? createServer(limits, listener)
      : createTlsServer(
          {
            ...limits,
            key: tls.key,
            cert: tls.certificate,
            minVersion: 'TLSv1.2',
            handshakeTimeout: HANDSHAKE_TIMEOUT_MS,
          },
          listener,
        );
  server.maxConnections = MAX_CONNECTIONS;
  if (door.kind === 'network') limitByAddress(server, door.takes);
  return server;
}

/** Before a byte is read: the socket is the bare one, under TLS too. */
function limitByAddress(server: Server, takes: (address: string) => boolean): void {
  const open = new Map<string, number>();
  server.on('connection', (socket: Socket) => {
    const address = socket.remoteAddress;
    const count = address === undefined ? 0 : (open.get(address) ?? 0);
    if (address === undefined || count >= MAX_CONNECTIONS_PER_ADDRESS || !takes(address)) {
      socket.destroy();
      return;
    }
    open.set(address, count + 1);
    socket.once('close', () => {
      const left = (open.get(address) ?? 1) - 1;
      if (left <= 0) open.delete(address);
      else open.set(address, left);
    });
  });
}
