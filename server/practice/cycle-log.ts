/** The truth about one engine cycle of one cylinder: from its intake valve's opening to its next one. */
export interface TrueCycle {
  readonly cyl: number;
  readonly startS: number;
  readonly endS: number;
  /** Mean absolute pressure in the port over the cycle [kPa]. */
  readonly meanPortKpa: number;
  /** Mean speed over the cycle [r/min]. */
  readonly speedRpm: number;
  /** Factor on the heat of the firing within the cycle; 0 is a missed firing. */
  readonly firingQuality: number;
  readonly missedFiring: boolean;
  /** The intake valve stayed shut: there was no pulse. */
  readonly missedPulse: boolean;
}

/** Builds `TrueCycle`s from what the engine reports, and keeps the newest of them. */
export class CycleLog {
  readonly #open: ({ startS: number; integralPaS: number; quality: number; missedPulse: boolean } | null)[];
  readonly #limit: number;
  #cycles: TrueCycle[] = [];

  constructor(cylinders: number, limit: number) {
    this.#open = Array.from({ length: cylinders }, () => null);
    this.#limit = limit;
  }

  /** Completed cycles of all cylinders in order of their end. */
  get cycles(): readonly TrueCycle[] {
    return this.#cycles;
  }

  onIntakeOpens(cyl: number, timeS: number, integralPaS: number): void {
    const open = this.#open[cyl];
    if (open != null) {
      const lengthS = timeS - open.startS;
      this.#cycles.push({
        cyl,
        startS: open.startS,
        endS: timeS,
        meanPortKpa: (integralPaS - open.integralPaS) / lengthS / 1000,
        speedRpm: (60 * REVOLUTIONS_PER_CYCLE) / lengthS,
        firingQuality: open.quality,
        missedFiring: open.quality === 0,
        missedPulse: open.missedPulse,
      });
      // Drops the old half at once, so that keeping the bound costs next to nothing.
      if (this.#cycles.length >= 2 * this.#limit) this.#cycles = this.#cycles.slice(-this.#limit);
    }
    this.#open[cyl] = { startS: timeS, integralPaS, quality: 0, missedPulse: false };
  }

  onPulseMissed(cyl: number): void {
    const open = this.#open[cyl];
    if (open != null) open.missedPulse = true;
  }

  onFiring(cyl: number, quality: number): void {
    const open = this.#open[cyl];
    if (open != null) open.quality = quality;
  }

  /** Drops the cycles that began before `timeS`. */
  forgetBefore(timeS: number): void {
    this.#cycles = this.#cycles.filter((cycle) => cycle.startS >= timeS);
    for (const [cyl, open] of this.#open.entries()) {
      if (open !== null && open.startS < timeS) this.#open[cyl] = null;
    }
  }
}

/** Of a four-stroke, as all engines of the bench are. */
const REVOLUTIONS_PER_CYCLE = 2;
