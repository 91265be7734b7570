/** A small vessel with a hand pump, on which all hoses can hang instead of on the engine. */
export class Vessel {
  #vacuumKpa: number | null = null;
  #pressurePa: number;

  /** @param ambientPa it starts full of air */
  constructor(ambientPa: number) {
    this.#pressurePa = ambientPa;
  }

  /** What the hand pulls and holds [kPa of vacuum]; null while the hoses are on the engine. */
  get vacuumKpa(): number | null {
    return this.#vacuumKpa;
  }

  /** @throws RangeError outside 0…MAX_VESSEL_VACUUM_KPA */
  set vacuumKpa(vacuumKpa: number | null) {
    if (vacuumKpa !== null && !(vacuumKpa >= 0 && vacuumKpa <= MAX_VESSEL_VACUUM_KPA))
      throw new RangeError(`A vessel holds 0 to ${MAX_VESSEL_VACUUM_KPA} kPa of vacuum, not ${vacuumKpa}`);
    this.#vacuumKpa = vacuumKpa;
  }

  /** Carries it on. @returns its pressure [Pa], or null while the hoses are on the engine */
  step(ambientPa: number, dtS: number): number | null {
    if (this.#vacuumKpa === null) {
      this.#pressurePa = ambientPa;
      return null;
    }
    const target = ambientPa - this.#vacuumKpa * 1000;
    this.#pressurePa += (target - this.#pressurePa) * (1 - Math.exp(-dtS / PUMPING_S));
    return this.#pressurePa;
  }
}

/** A good hand pump; what is left is well inside the range of the common sensors. */
export const MAX_VESSEL_VACUUM_KPA = 80;
/** Time constant of the hand [s]: a step is made within a second and a half. */
const PUMPING_S = 0.3;
