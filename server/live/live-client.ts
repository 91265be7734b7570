import type { LiveMessage } from '../contract/live.ts';

/** One browser as the hub sees it: a transport with a queue whose length can be asked. */
export interface LiveTransport {
  /** Hands over text; never throws. */
  send(text: string): void;
  /** Bytes handed over but not yet taken by the network. */
  bufferedBytes(): number;
  ping(): void;
  /** Ends the connection without waiting. */
  terminate(): void;
}

/** Over the upper mark only the latest of each kind is kept; under the lower mark it is sent and sending goes on. */
export const UPPER_MARK_BYTES = 256 * 1024;
export const LOWER_MARK_BYTES = 64 * 1024;
/** Events are kept whatever happens, up to here: a viewer that is this far behind has to connect afresh. */
export const MAX_HELD_EVENTS = 500;

/** Kinds of which only the newest matters. */
type FoldableKind = 'update' | 'pulses';

/** Sends to one browser without letting its queue grow: a stalled viewer costs no memory and holds up nobody. */
export class LiveClient {
  readonly #transport: LiveTransport;
  readonly #latest = new Map<FoldableKind, string>();
  readonly #events: string[] = [];
  #holding = false;
  #answeredPing = true;
  #folded = 0;

  constructor(transport: LiveTransport) {
    this.#transport = transport;
  }

  /** Messages that were replaced by a newer one of their kind before they could be sent. */
  get folded(): number {
    return this.#folded;
  }

  get holding(): boolean {
    return this.#holding;
  }

  /**
   * @param text the message as JSON, made once for all viewers
   * @returns false when the viewer fell too far behind and was cut off
   */
  send(type: LiveMessage['type'], text: string): boolean {
    if (!this.#holding && this.#transport.bufferedBytes() > UPPER_MARK_BYTES) this.#holding = true;
    if (this.#holding) this.flush();
    if (!this.#holding) {
      this.#transport.send(text);
      return true;
    }
    if (type === 'update' || type === 'pulses') {
      if (this.#latest.has(type)) this.#folded++;
      this.#latest.set(type, text);
      return true;
    }
    this.#events.push(text);
    if (this.#events.length <= MAX_HELD_EVENTS) return true;
    this.#transport.terminate();
    return false;
  }

  /** Sends what was held once the queue is short again: events first, in their order, then the newest values. */
  flush(): void {
    if (!this.#holding || this.#transport.bufferedBytes() >= LOWER_MARK_BYTES) return;
    this.#holding = false;
    for (const text of this.#events) this.#transport.send(text);
    for (const text of this.#latest.values()) this.#transport.send(text);
    this.#events.length = 0;
    this.#latest.clear();
  }

  pong(): void {
    this.#answeredPing = true;
  }

  /** @returns false when the last ping was never answered and the viewer was cut off */
  heartbeat(): boolean {
    if (!this.#answeredPing) {
      this.#transport.terminate();
      return false;
    }
    this.#answeredPing = false;
    this.#transport.ping();
    return true;
  }
}
