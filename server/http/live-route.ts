import type { WebSocket } from 'ws';
import { MAX_VIEWERS } from '../live/live-hub.ts';
import { LOOPBACK_DOOR } from './access/door.ts';
import type { AppParts, TypedApp } from './app-parts.ts';

/** A viewer says nothing: what it sends is bounded and not read. */
export const MAX_INCOMING_BYTES = 1024;
/** Seats that no other device can take: the instrument's own screens always find a place. */
const SEATS_OF_INSTRUMENT = 16;
/** Of other devices together. */
export const MAX_NETWORK_VIEWERS = MAX_VIEWERS - SEATS_OF_INSTRUMENT;
/** WebSocket close code 'try again later' (RFC 6455 registry). */
const TRY_AGAIN_LATER = 1013;

/** The WebSocket at `/live`. Host, Origin and who asks have been checked by the hook that guards every request. */
export function registerLiveRoute(app: TypedApp, { hub, door = LOOPBACK_DOOR }: AppParts): void {
  const places = door.kind === 'network' ? MAX_NETWORK_VIEWERS : MAX_VIEWERS;
  let taken = 0;
  app.get('/live', { websocket: true }, (socket: WebSocket) => {
    const seat =
      taken >= places
        ? null
        : hub.join({
            send: (text) => {
              if (socket.readyState === socket.OPEN) socket.send(text);
            },
            bufferedBytes: () => socket.bufferedAmount,
            ping: () => {
              if (socket.readyState === socket.OPEN) socket.ping();
            },
            terminate: () => socket.terminate(),
          });
    if (seat === null) {
      socket.close(TRY_AGAIN_LATER, 'too-many-viewers');
      return;
    }
    taken++;
    socket.on('pong', () => seat.pong());
    socket.on('close', () => {
      taken--;
      seat.leave();
    });
    socket.on('error', () => socket.terminate());
  });
}
