/** One change of the records after the other, so that what a change has read still holds when it writes. */
export class WriteQueue {
  #last: Promise<unknown> = Promise.resolve();

  run<T>(change: () => Promise<T>): Promise<T> {
    const mine = this.#last.then(change, change);
    this.#last = mine.catch(() => undefined);
    return mine;
  }
}
