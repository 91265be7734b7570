import type { Clock } from '../../server/clock.ts';

interface Timer {
  atMs: number;
  order: number;
  call: () => void;
  called: boolean;
}

/** A clock that moves only when told to, quick enough for hours; it can also leap as over a sleep of the computer. */
export class WorkshopClock implements Clock {
  #nowMs = 0;
  #wallOffsetMs = 1_700_000_000_000;
  #order = 0;
  #timers: Timer[] = [];

  wallMs(): number {
    return this.#wallOffsetMs + this.#nowMs;
  }

  nowMs(): number {
    return this.#nowMs;
  }

  after(delayMs: number, call: () => void): () => void {
    const timer = { atMs: this.#nowMs + delayMs, order: this.#order++, call, called: false };
    let at = this.#timers.length;
    while (at > 0 && this.#timers[at - 1]!.atMs > timer.atMs) at--;
    this.#timers.splice(at, 0, timer);
    return () => {
      if (timer.called) return;
      timer.called = true;
      this.#timers.splice(this.#timers.indexOf(timer), 1);
    };
  }

  every(intervalMs: number, call: () => void): () => void {
    let ended = false;
    let cancel = () => {};
    const again = () => {
      cancel = this.after(intervalMs, () => {
        if (!ended) again();
        call();
      });
    };
    again();
    return () => {
      ended = true;
      cancel();
    };
  }

  get pending(): number {
    return this.#timers.length;
  }

  /** Moves on, firing what falls due in its order; promises between timers get their turn. */
  async advance(byMs: number): Promise<void> {
    const untilMs = this.#nowMs + byMs;
    await settle();
    for (let due = this.#timers[0]; due !== undefined && due.atMs <= untilMs; due = this.#timers[0]) {
      this.#timers.shift();
      due.called = true;
      this.#nowMs = Math.max(this.#nowMs, due.atMs);
      due.call();
      await settle();
    }
    this.#nowMs = untilMs;
    await settle();
  }

  /** The steady clock went on while nothing ran: timers that fell due meanwhile fire late, all at once. */
  leap(byMs: number): void {
    this.#nowMs += byMs;
  }

  /** Somebody set the time of day. */
  setWallBy(byMs: number): void {
    this.#wallOffsetMs += byMs;
  }
}

/** Lets promise chains run to their end. */
async function settle(): Promise<void> {
  for (let turn = 0; turn < 12; turn++) await Promise.resolve();
}
