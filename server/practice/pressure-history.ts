/**
 * The last stretch of a pressure per channel on a fixed time grid, with its running integral, so that its mean
 * over any interval can be had exactly. Older points are overwritten.
 */
export class PressureHistory {
  readonly #channels: number;
  readonly #gridS: number;
  readonly #capacity: number;
  readonly #pressurePa: Float64Array;
  readonly #integralPaS: Float64Array;
  #points = 0;

  constructor(channels: number, gridS: number, capacity: number) {
    this.#channels = channels;
    this.#gridS = gridS;
    this.#capacity = capacity;
    this.#pressurePa = new Float64Array(channels * capacity);
    this.#integralPaS = new Float64Array(channels * capacity);
  }

  /** Adds the point that follows the newest one. Arrays have one entry per channel. */
  push(pressurePa: Float64Array, integralPaS: Float64Array): void {
    const at = (this.#points % this.#capacity) * this.#channels;
    this.#pressurePa.set(pressurePa, at);
    this.#integralPaS.set(integralPaS, at);
    this.#points++;
  }

  get oldestS(): number {
    return Math.max(0, this.#points - this.#capacity) * this.#gridS;
  }

  get newestS(): number {
    return (this.#points - 1) * this.#gridS;
  }

  /** Pressure at a moment [kPa], in a straight line between points. @throws RangeError outside the history */
  atKpa(channel: number, timeS: number): number {
    const [low, high, part] = this.#locate(channel, timeS);
    return (this.#pressurePa[low]! + part * (this.#pressurePa[high]! - this.#pressurePa[low]!)) / 1000;
  }

  /** Mean pressure from `t0` to `t1` [kPa]. @throws RangeError outside the history or for t1 <= t0 */
  meanKpa(channel: number, t0: number, t1: number): number {
    if (!(t1 > t0)) throw new RangeError(`No mean over the time from ${t0} to ${t1} s`);
    return (this.#integralAt(channel, t1) - this.#integralAt(channel, t0)) / (t1 - t0) / 1000;
  }

  #integralAt(channel: number, timeS: number): number {
    const [low, high, part] = this.#locate(channel, timeS);
    const whole = this.#integralPaS[high]! - this.#integralPaS[low]!;
    const bend = 0.5 * (this.#pressurePa[high]! - this.#pressurePa[low]!) * this.#gridS;
    return this.#integralPaS[low]! + part * (whole - bend * (1 - part));
  }

  #locate(channel: number, timeS: number): readonly [number, number, number] {
    const place = timeS / this.#gridS;
    const newest = this.#points - 1;
    const oldest = Math.max(0, this.#points - this.#capacity);
    if (!(place >= oldest - EDGE && place <= newest + EDGE)) {
      throw new RangeError(`${timeS} s is outside the history from ${this.oldestS} to ${this.newestS} s`);
    }
    const low = Math.min(newest, Math.max(oldest, Math.floor(place)));
    const high = Math.min(newest, low + 1);
    const part = Math.max(0, Math.min(1, place - low));
    return [this.#index(channel, low), this.#index(channel, high), part];
  }

  #index(channel: number, point: number): number {
    return (point % this.#capacity) * this.#channels + channel;
  }
}

/** Rounding of a time that stands on a grid point, in grid steps. */
const EDGE = 1e-6;
