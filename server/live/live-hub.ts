import type { Clock } from '../clock.ts';
import type { Hello, LiveMessage, Snapshot } from '../contract/live.ts';
import { LIVE_VERSION } from '../contract/live.ts';
import { LiveClient, type LiveTransport } from './live-client.ts';

export const HEARTBEAT_MS = 10_000;
/** How often a held-up viewer is looked at. */
export const FLUSH_MS = 50;
/** Every screen of a busy shop several times over; each costs at most its queue. */
export const MAX_VIEWERS = 64;
/** Larger than any message of eight cylinders; more is a mistake of ours and is not sent. */
export const MAX_MESSAGE_CHARACTERS = 256 * 1024;

export interface LiveHubOptions {
  readonly clock: Clock;
  readonly serverStartId: string;
  readonly softwareVersion: string;
  readonly snapshot: () => Snapshot;
  readonly onTrouble: (detail: string) => void;
}

/** Handle of one connected viewer for whoever owns its transport. */
export interface LiveSeat {
  pong(): void;
  leave(): void;
}

/** Sends the live messages to every viewer: `hello`, `snapshot`, then what is published, each at its own pace. */
export class LiveHub {
  readonly #options: LiveHubOptions;
  readonly #clients = new Set<LiveClient>();
  readonly #cancels: (() => void)[];
  #foldedByGone = 0;

  constructor(options: LiveHubOptions) {
    this.#options = options;
    this.#cancels = [
      options.clock.every(FLUSH_MS, () => {
        for (const client of this.#clients) client.flush();
      }),
      options.clock.every(HEARTBEAT_MS, () => {
        for (const client of this.#clients) if (!client.heartbeat()) this.#drop(client);
      }),
    ];
  }

  get viewers(): number {
    return this.#clients.size;
  }

  /** Messages that slow viewers never saw because a newer one took their place. */
  get folded(): number {
    let folded = this.#foldedByGone;
    for (const client of this.#clients) folded += client.folded;
    return folded;
  }

  /** @returns null when there are too many viewers already */
  join(transport: LiveTransport): LiveSeat | null {
    if (this.#clients.size >= MAX_VIEWERS) return null;
    const client = new LiveClient(transport);
    const hello: Hello = {
      type: 'hello',
      liveVersion: LIVE_VERSION,
      serverStartId: this.#options.serverStartId,
      softwareVersion: this.#options.softwareVersion,
    };
    client.send('hello', JSON.stringify(hello));
    client.send('snapshot', JSON.stringify(this.#options.snapshot()));
    this.#clients.add(client);
    return { pong: () => client.pong(), leave: () => this.#drop(client) };
  }

  publish(message: LiveMessage): void {
    if (this.#clients.size === 0) return;
    const text = JSON.stringify(message);
    if (text.length > MAX_MESSAGE_CHARACTERS) {
      this.#options.onTrouble(`a ${message.type} message of ${text.length} characters was not sent`);
      return;
    }
    for (const client of this.#clients) if (!client.send(message.type, text)) this.#drop(client);
  }

  stop(): void {
    for (const cancel of this.#cancels) cancel();
  }

  #drop(client: LiveClient): void {
    if (this.#clients.delete(client)) this.#foldedByGone += client.folded;
  }
}
