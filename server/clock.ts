/** Time as an argument: everything below the wiring gets one of these, and tests give their own. */
export interface Clock {
  /** Wall clock [ms since 1970]. */
  wallMs(): number;
  /** Steady clock for intervals [ms]; its zero means nothing. */
  nowMs(): number;
  /** Calls once after the delay. The answer calls it off. */
  after(delayMs: number, call: () => void): () => void;
  /** Calls again and again. The answer ends it. */
  every(intervalMs: number, call: () => void): () => void;
}

export const systemClock: Clock = {
  wallMs: () => Date.now(),
  nowMs: () => performance.now(),
  after(delayMs, call) {
    const timer = setTimeout(call, delayMs);
    return () => clearTimeout(timer);
  },
  every(intervalMs, call) {
    const timer = setInterval(call, intervalMs);
    return () => clearInterval(timer);
  },
};
