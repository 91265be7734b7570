import type { WebSocket } from 'ws';
import type { AppParts, TypedApp } from './app-parts.ts';

/** A viewer says nothing: what it sends is bounded and not read. */
export const MAX_INCOMING_BYTES = 1024;
/** WebSocket close code 'try again later' (RFC 6455 registry). */
const TRY_AGAIN_LATER = 1013;

/** The WebSocket at `/live`. Host and Origin have been checked by the hook that guards every request. */
export function registerLiveRoute(app: TypedApp, { hub }: AppParts): void {
  app.get('/live', { websocket: true }, (socket: WebSocket) => {
    const seat = hub.join({
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
    socket.on('pong', () => seat.pong());
    socket.on('close', () => seat.leave());
    socket.on('error', () => socket.terminate());
  });
}
