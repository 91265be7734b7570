/** Lets one change of the record finish before the next reads, so that what a change has read still holds when it writes. */
export interface ChangeQueue {
  run<T>(change: () => Promise<T>): Promise<T>;
}

/** One after the other within this process. */
export class WriteQueue implements ChangeQueue {
  #last: Promise<unknown> = Promise.resolve();

  run<T>(change: () => Promise<T>): Promise<T> {
    const mine = this.#last.then(change, change);
    this.#last = mine.catch(() => undefined);
    return mine;
  }
}
