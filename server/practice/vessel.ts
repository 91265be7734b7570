import { MAX_VESSEL_LEAK_MM, MAX_VESSEL_VACUUM_KPA } from '../contract/practice.ts';
import { LEAK_DISCHARGE } from './engine-parameters.ts';
import { AIR_GAS_CONSTANT, airFlowFactor } from './orifice.ts';

/** A small vessel with a hand pump, on which all hoses can hang instead of on the engine. */
export class Vessel {
  #vacuumKpa: number | null = null;
  #pressurePa: number;
  #leakMm: number | null = null;

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

  /** The hole through which it fills once the hand has let go [mm], 0 for a tight one; null while the hand holds. */
  get leakMm(): number | null {
    return this.#leakMm;
  }

  /** @throws RangeError outside 0…MAX_VESSEL_LEAK_MM */
  set leakMm(leakMm: number | null) {
    if (leakMm !== null && !(leakMm >= 0 && leakMm <= MAX_VESSEL_LEAK_MM))
      throw new RangeError(`A vessel leaks through 0 to ${MAX_VESSEL_LEAK_MM} mm, not ${leakMm}`);
    this.#leakMm = leakMm;
  }

  /** Carries it on. @returns its pressure [Pa], or null while the hoses are on the engine */
  step(ambientPa: number, dtS: number): number | null {
    if (this.#vacuumKpa === null) {
      this.#pressurePa = ambientPa;
      return null;
    }
    if (this.#leakMm !== null) {
      // Isothermal filling of a rigid volume by the orifice law.
      const areaM2 = (LEAK_DISCHARGE * Math.PI * (this.#leakMm * 1e-3) ** 2) / 4;
      const rise = (areaM2 * Math.sqrt(AIR_GAS_CONSTANT * ROOM_K) * ambientPa) / VESSEL_M3;
      const share = Math.min(1, this.#pressurePa / ambientPa);
      this.#pressurePa = Math.min(ambientPa, this.#pressurePa + rise * airFlowFactor(share) * dtS);
      return this.#pressurePa;
    }
    const target = ambientPa - this.#vacuumKpa * 1000;
    this.#pressurePa += (target - this.#pressurePa) * (1 - Math.exp(-dtS / PUMPING_S));
    return this.#pressurePa;
  }
}

/** Time constant of the hand [s]: a step is made within a second and a half. */
const PUMPING_S = 0.3;
/** A diaphragm's chamber with pump and hoses. */
const VESSEL_M3 = 120e-6;
const ROOM_K = 293.15;
