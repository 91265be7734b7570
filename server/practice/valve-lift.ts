/**
 * Part of the full flow area of a valve over crank angle: a sine-squared lift from opening to closing, which is
 * close to a cam with smooth ramps.
 */
export class ValveLift {
  readonly opensDeg: number;
  readonly #table: Float64Array;

  /** @throws RangeError when it closes before it opens */
  constructor(opensDeg: number, closesDeg: number) {
    const steps = Math.round((closesDeg - opensDeg) * STEPS_PER_DEGREE);
    if (steps <= 0)
      throw new RangeError(`A valve cannot open at ${opensDeg} and close at ${closesDeg} degrees`);
    this.opensDeg = opensDeg;
    this.#table = Float64Array.from(
      { length: steps + 1 },
      (_, step) => Math.sin((Math.PI * step) / steps) ** 2,
    );
  }

  /** @returns 0 shut … 1 fully open */
  at(phaseDeg: number): number {
    const place = (phaseDeg - this.opensDeg) * STEPS_PER_DEGREE;
    if (place <= 0 || place >= this.#table.length - 1) return 0;
    const step = Math.floor(place);
    const low = this.#table[step]!;
    return low + (place - step) * (this.#table[step + 1]! - low);
  }
}

const STEPS_PER_DEGREE = 2;
