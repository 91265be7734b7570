/**
 * Leak-up of a rigid closed volume through a small opening, in closed form.
 *
 * Air enters by the compressible orifice law (Heywood, Internal Combustion Engine Fundamentals, 1988, appendix C,
 * eqs C.8 and C.9, from memory; the same form in NASA Glenn's 'Mass flow choking'):
 *
 *   mass flow = Cd A p0 / sqrt(R T0) · φ(r),  r = p / p0
 *   φ(r) = r^(1/γ) sqrt(2γ/(γ-1) · (1 - r^((γ-1)/γ))), constant for r at or below (2/(γ+1))^(γ/(γ-1))
 *
 * With x = sqrt(1 - r^((γ-1)/γ)) the subcritical part integrates exactly: dr/φ = -sqrt(2γ/(γ-1)) dx. So x falls
 * in a straight line in time, and balance is reached after a finite time.
 */

/** Specific gas constant of dry air [J/(kg K)], ISO 2533. */
export const AIR_GAS_CONSTANT = 287.05287;
/** Ratio of specific heats of air near room temperature. */
export const AIR_GAMMA = 1.4;

const POWER = (AIR_GAMMA - 1) / AIR_GAMMA;
const ROOT = Math.sqrt(2 / POWER);
/** Below this ratio of pressures the flow is choked: 0.52828 for air. */
export const CRITICAL_RATIO = (2 / (AIR_GAMMA + 1)) ** (1 / POWER);
const CRITICAL_X = Math.sqrt(1 - CRITICAL_RATIO ** POWER);
/** Flow factor while choked: 0.68473 for air. */
export const CHOKED_FACTOR = CRITICAL_RATIO ** (1 / AIR_GAMMA) * ROOT * CRITICAL_X;
/** Filling coordinate at balance: there is no more to come. */
export const FULL_COORDINATE = CRITICAL_RATIO + CHOKED_FACTOR * ROOT * CRITICAL_X;

/**
 * Flow factor φ of air, dimensionless.
 *
 * @param ratio downstream over upstream pressure; taken as 1 above 1
 * @example flowFactor(0.8) // 0.56066
 */
export function flowFactor(ratio: number): number {
  if (ratio <= CRITICAL_RATIO) return CHOKED_FACTOR;
  if (ratio >= 1) return 0;
  const root = ratio ** POWER;
  return (ratio / root) * ROOT * Math.sqrt(1 - root);
}

/**
 * Filling coordinate of a pressure ratio: the ratio that would have been reached had the flow stayed choked. It
 * rises in a straight line with time through choked and unchoked flow alike, so the slope of it times the outside
 * pressure is the choked rise of pressure.
 *
 * @param ratio inside over outside pressure, 0…1; above 1 gives FULL_COORDINATE
 * @returns equal to the ratio while choked, then more than it
 */
export function fillingCoordinate(ratio: number): number {
  if (ratio <= CRITICAL_RATIO) return ratio;
  const x = ratio >= 1 ? 0 : Math.sqrt(1 - ratio ** POWER);
  return CRITICAL_RATIO + CHOKED_FACTOR * ROOT * (CRITICAL_X - x);
}

/** Inverse of `fillingCoordinate`. */
export function ratioAtCoordinate(coordinate: number): number {
  if (coordinate <= CRITICAL_RATIO) return coordinate;
  const x = CRITICAL_X - (coordinate - CRITICAL_RATIO) / (CHOKED_FACTOR * ROOT);
  return x <= 0 ? 1 : (1 - x * x) ** (1 / POWER);
}

/** How heat goes while the volume fills: slowly enough to stay at the wall's temperature, or not at all. */
export type Heat = 'isothermal' | 'adiabatic';

/** Rise of pressure over that of isothermal filling: gas that flows in brings its enthalpy, γ times its energy. */
export function heatFactor(heat: Heat): number {
  return heat === 'adiabatic' ? AIR_GAMMA : 1;
}

/**
 * Pressure after a time in a volume that fills through an orifice.
 *
 * @param startKpa absolute, at time 0
 * @param chokedKpaPerS rise of pressure while the flow is choked, or would be
 * @returns absolute pressure [kPa]
 */
export function leakUpKpa(
  startKpa: number,
  chokedKpaPerS: number,
  timeS: number,
  outsideKpa: number,
): number {
  const start = fillingCoordinate(startKpa / outsideKpa);
  return outsideKpa * ratioAtCoordinate(start + (chokedKpaPerS * timeS) / outsideKpa);
}

/** Time from one pressure to a higher one [s]; infinite when nothing flows. Pressures in kPa absolute. */
export function leakUpTimeS(
  fromKpa: number,
  toKpa: number,
  chokedKpaPerS: number,
  outsideKpa: number,
): number {
  const rise = fillingCoordinate(toKpa / outsideKpa) - fillingCoordinate(fromKpa / outsideKpa);
  return (rise * outsideKpa) / chokedKpaPerS;
}

/** What turns a rise of pressure into an opening. */
export interface LeakVessel {
  readonly volumeMl: number;
  readonly outsideKpa: number;
  readonly temperatureK: number;
  /** Of the hole: 0.6 for a sharp edge, near 1 for a rounded one (common practice, no source). */
  readonly dischargeCoefficient: number;
  readonly heat: Heat;
}

/**
 * τ = V / (Cd A sqrt(R T)) of isothermal filling [s]; choked pressure rises by φ* p0 / τ.
 *
 * @example orificeTimeConstantS(50, 1, 0.6, 293.15) // 0.365766
 */
export function orificeTimeConstantS(
  volumeMl: number,
  holeMm: number,
  dischargeCoefficient: number,
  temperatureK: number,
): number {
  const areaM2 = 0.25e-6 * Math.PI * holeMm * holeMm;
  return (volumeMl * 1e-6) / (dischargeCoefficient * areaM2 * Math.sqrt(AIR_GAS_CONSTANT * temperatureK));
}

/** Choked rise of pressure in a vessel with a round hole [kPa/s]. */
export function chokedRiseKpaPerS(holeMm: number, vessel: LeakVessel): number {
  const { volumeMl, outsideKpa, temperatureK, dischargeCoefficient, heat } = vessel;
  const tauS = orificeTimeConstantS(volumeMl, holeMm, dischargeCoefficient, temperatureK);
  return (heatFactor(heat) * CHOKED_FACTOR * outsideKpa) / tauS;
}

/** Diameter of the round hole that lets a vessel fill that quickly [mm]; 0 for no rise. */
export function equivalentHoleMm(chokedKpaPerS: number, vessel: LeakVessel): number {
  return Math.sqrt(Math.max(0, chokedKpaPerS) / chokedRiseKpaPerS(1, vessel));
}
