/** The hand on the throttle: an opening that it holds, and blips on top of it. */
export class ThrottleHand {
  #held: number;
  #blip: { readonly startS: number; readonly peak: number } | null = null;

  /** @param held 0 released … 1 fully open */
  constructor(held: number) {
    this.#held = checkedOpening(held);
  }

  get held(): number {
    return this.#held;
  }

  /** @throws RangeError outside 0…1 */
  set held(opening: number) {
    this.#held = checkedOpening(opening);
  }

  /** Opens to `peak` and lets go again, within `BLIP_S` from now on. */
  blip(timeS: number, peak: number): void {
    this.#blip = { startS: timeS, peak: checkedOpening(peak) };
  }

  openingAt(timeS: number): number {
    if (this.#blip === null) return this.#held;
    const sinceS = timeS - this.#blip.startS;
    const rise = sinceS / BLIP_RAMP_S;
    const fall = (BLIP_S - sinceS) / BLIP_RAMP_S;
    return Math.max(this.#held, this.#blip.peak * Math.max(0, Math.min(1, rise, fall)));
  }
}

/** How long a blip takes [s], the turns of the wrist included. */
export const BLIP_S = 0.6;
const BLIP_RAMP_S = 0.1;

function checkedOpening(opening: number): number {
  if (!(opening >= 0 && opening <= 1))
    throw new RangeError(`A throttle opens from 0 to 1, not to ${opening}`);
  return opening;
}
