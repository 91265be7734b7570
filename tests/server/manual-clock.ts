import type { Clock } from '../../server/clock.ts';

/** A clock that moves only when told to: timers fire in order of their time. */
export class ManualClock implements Clock {
  #nowMs = 0;
  #timers: { atMs: number; order: number; call: () => void }[] = [];
  #order = 0;

  wallMs(): number {
    return 1_700_000_000_000 + this.#nowMs;
  }

  nowMs(): number {
    return this.#nowMs;
  }

  after(delayMs: number, call: () => void): () => void {
    const timer = { atMs: this.#nowMs + delayMs, order: this.#order++, call };
    this.#timers.push(timer);
    return () => {
      this.#timers = this.#timers.filter((other) => other !== timer);
    };
  }

  every(intervalMs: number, call: () => void): () => void {
    let cancel = () => {};
    const again = () => {
      cancel = this.after(intervalMs, () => {
        again();
        call();
      });
    };
    again();
    return () => cancel();
  }

  get pending(): number {
    return this.#timers.length;
  }

  /** Moves on, firing what falls due; promises between timers get their turn. */
  async advance(byMs: number): Promise<void> {
    const untilMs = this.#nowMs + byMs;
    await settle();
    for (;;) {
      const due = this.#timers
        .filter((timer) => timer.atMs <= untilMs)
        .sort((a, b) => a.atMs - b.atMs || a.order - b.order)[0];
      if (due === undefined) break;
      this.#timers = this.#timers.filter((timer) => timer !== due);
      this.#nowMs = Math.max(this.#nowMs, due.atMs);
      due.call();
      await settle();
    }
    this.#nowMs = untilMs;
    await settle();
  }
}

/** Lets promise chains run to their end. */
async function settle(): Promise<void> {
  for (let turn = 0; turn < 20; turn++) await Promise.resolve();
}
