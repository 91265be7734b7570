/** Parts of the service in the order in which they were started, to be stopped in the reverse of it. */
export class StopStack {
  readonly #parts: {
    readonly name: string;
    readonly stop: () => void | Promise<void>;
  }[] = [];
  readonly #onTrouble: (name: string, error: unknown) => void;
  #stopping: Promise<void> | null = null;

  constructor(onTrouble: (name: string, error: unknown) => void) {
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
    for (let part = this.#parts.pop(); part !== undefined; part = this.#parts.pop()) {
      try {
        await part.stop();
      } catch (error) {
        this.#onTrouble(part.name, error);
      }
    }
  }
}
