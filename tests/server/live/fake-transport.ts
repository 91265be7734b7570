import type { LiveMessage } from '../../../server/contract/live.ts';
import type { LiveTransport } from '../../../server/live/live-client.ts';

/** A browser's connection whose network the test opens and shuts. */
export class FakeTransport implements LiveTransport {
  readonly delivered: string[] = [];
  #queue: string[] = [];
  open = true;
  pings = 0;
  terminated = false;

  send(text: string): void {
    if (this.open) this.delivered.push(text);
    else this.#queue.push(text);
  }

  bufferedBytes(): number {
    return this.#queue.reduce((bytes, text) => bytes + Buffer.byteLength(text), 0);
  }

  ping(): void {
    this.pings++;
  }

  terminate(): void {
    this.terminated = true;
  }

  stall(): void {
    this.open = false;
  }

  /** Lets so many bytes through, or all. */
  drain(bytes = Number.POSITIVE_INFINITY): void {
    let left = bytes;
    while (this.#queue[0] !== undefined && left >= Buffer.byteLength(this.#queue[0])) {
      left -= Buffer.byteLength(this.#queue[0]);
      this.delivered.push(this.#queue.shift() as string);
    }
    if (this.#queue.length === 0) this.open = true;
  }

  get messages(): LiveMessage[] {
    return this.delivered.map((text) => JSON.parse(text) as LiveMessage);
  }

  get types(): string[] {
    return this.messages.map((message) => message.type);
  }
}
