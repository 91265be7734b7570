/** How long the ports must stand still for their pressure to be the air's [s]. */
export const KEY_OFF_S = 1.5;
/** Largest movement of a still port, sensor noise included [kPa]. An idling engine moves it by 10 and more. */
export const KEY_OFF_MOVEMENT_KPA = 2;
/** Air pressure that a set-up can have [kPa]. */
const LOWEST_AIR_KPA = 50;
const HIGHEST_AIR_KPA = 120;

/** Finds the air pressure in the ports while the engine stands still: every channel steady for a while. */
export class KeyOffPressure {
  readonly #low: Float64Array;
  readonly #high: Float64Array;
  #sum = 0;
  #count = 0;
  #startS: number | null = null;
  #kpa: number | null = null;

  constructor(channels: number) {
    this.#low = new Float64Array(channels);
    this.#high = new Float64Array(channels);
    this.reset();
  }

  /** Mean pressure of the still ports [kPa], or null while one moves or too little has been seen. */
  get kpa(): number | null {
    return this.#kpa;
  }

  push(timeS: number, absoluteKpa: ArrayLike<number>): void {
    this.#startS ??= timeS;
    for (let channel = 0; channel < absoluteKpa.length; channel++) {
      const value = absoluteKpa[channel]!;
      if (!Number.isFinite(value)) continue;
      if (value < this.#low[channel]!) this.#low[channel] = value;
      if (value > this.#high[channel]!) this.#high[channel] = value;
      this.#sum += value;
      this.#count++;
      if (this.#high[channel]! - this.#low[channel]! > KEY_OFF_MOVEMENT_KPA) {
        this.reset();
        return;
      }
    }
    if (timeS - this.#startS < KEY_OFF_S) return;
    const mean = this.#sum / this.#count;
    this.#startWindow();
    this.#kpa = mean >= LOWEST_AIR_KPA && mean <= HIGHEST_AIR_KPA ? mean : null;
  }

  /** The pressure moved or samples are missing: what was seen no longer counts. */
  reset(): void {
    this.#startWindow();
    this.#kpa = null;
  }

  #startWindow(): void {
    this.#low.fill(Number.POSITIVE_INFINITY);
    this.#high.fill(Number.NEGATIVE_INFINITY);
    this.#sum = 0;
    this.#count = 0;
    this.#startS = null;
  }
}
