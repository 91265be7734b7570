import type { Clock } from './clock.ts';

/** How long all parts together are waited for [ms]: the process is to be gone within two seconds. */
export const STOP_WITHIN_MS = 1_500;

/**
 * Parts of the service in the order in which they were started, to be stopped in the reverse of it. One that takes too
 * long, such as a backup onto a slow stick, is told of and left behind, so that the others are closed in time.
 */
export class StopStack {
  readonly #parts: {
    readonly name: string;
    readonly stop: () => void | Promise<void>;
  }[] = [];
  readonly #onTrouble: (name: string, error: unknown) => void;
  readonly #clock: Pick<Clock, 'after'>;
  #stopping: Promise<void> | null = null;

  constructor(clock: Pick<Clock, 'after'>, onTrouble: (name: string, error: unknown) => void) {
    this.#clock = clock;
    this.#onTrouble = onTrouble;
  }

  started(name: string, stop: () => void | Promise<void>): void {
    if (this.#stopping !== null) throw new Error(`${name} was started while the service stops`);
    this.#parts.push({ name, stop });
  }

  /** Stops every part even if one fails; a second call waits for the first. Does not reject. */
  stopAll(): Promise<void> {
    this.#stopping ??= this.#unwind();
    return this.#stopping;
  }

  async #unwind(): Promise<void> {
    let cancel = () => {};
    const timeIsUp = new Promise<typeof TIME_IS_UP>((resolve) => {
      cancel = this.#clock.after(STOP_WITHIN_MS, () => resolve(TIME_IS_UP));
    });
    for (let part = this.#parts.pop(); part !== undefined; part = this.#parts.pop()) {
      const { name } = part;
      try {
        const stopped = Promise.resolve(part.stop());
        stopped.catch(() => {});
        // A part that stops at once has its turn also when the time is up.
        const late = timeIsUp.then(
          () => new Promise<typeof TIME_IS_UP>((next) => setImmediate(next, TIME_IS_UP)),
        );
        if ((await Promise.race([stopped, late])) === TIME_IS_UP)
          this.#onTrouble(name, new Error(`not stopped within ${STOP_WITHIN_MS} ms`));
      } catch (error) {
        this.#onTrouble(name, error);
      }
    }
    cancel();
  }
}

const TIME_IS_UP = Symbol('time is up');
