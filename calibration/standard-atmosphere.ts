/**
 * Pressure of the standard atmosphere at an altitude, for want of a barometer.
 *
 * ISO 2533:1975, troposphere: p = 101.325 kPa (1 - 6.5 K/km H / 288.15 K)^5.2559 with geopotential altitude H.
 */
export const SEA_LEVEL_KPA = 101.325;
const SEA_LEVEL_K = 288.15;
const LAPSE_K_PER_M = 0.0065;
const GRAVITY = 9.80665;
/** Specific gas constant of air in ISO 2533 [J/(kg K)]. */
const AIR_GAS_CONSTANT = 287.05287;
const EXPONENT = GRAVITY / (AIR_GAS_CONSTANT * LAPSE_K_PER_M);
/** Nominal radius of the earth in ISO 2533 [m]. */
const EARTH_RADIUS_M = 6_356_766;

/** Geopotential altitudes between which the formula stands [m]. */
export const LOWEST_ALTITUDE_M = -2000;
export const HIGHEST_ALTITUDE_M = 11_000;

/**
 * Assumed standard deviation of the weather about the standard atmosphere [kPa]. Sea-level pressure in middle
 * latitudes is mostly 98 to 104 kPa; the half-width of 2 to 3 kPa as a rectangular distribution gives 1.2 to 1.7.
 * General meteorological knowledge, no source.
 */
export const WEATHER_UNCERTAINTY_KPA = 1.5;

/** A barometric pressure and how sure it is. */
export interface BarometricPressure {
  readonly kpa: number;
  readonly standardUncertaintyKpa: number;
}

/**
 * @param altitudeM geopotential altitude, -2000…11000
 * @returns pressure [kPa]
 * @throws RangeError outside of the troposphere
 * @example standardPressureKpa(1000) // 89.8746
 */
export function standardPressureKpa(altitudeM: number): number {
  if (!(altitudeM >= LOWEST_ALTITUDE_M && altitudeM <= HIGHEST_ALTITUDE_M))
    throw new RangeError(
      `An altitude lies between ${LOWEST_ALTITUDE_M} and ${HIGHEST_ALTITUDE_M} m, not ${altitudeM}`,
    );
  return SEA_LEVEL_KPA * (1 - (LAPSE_K_PER_M * altitudeM) / SEA_LEVEL_K) ** EXPONENT;
}

/** Geopotential altitude of a height above sea level as a map gives it [m]: H = r z / (r + z). */
export function geopotentialAltitudeM(heightM: number): number {
  return (EARTH_RADIUS_M * heightM) / (EARTH_RADIUS_M + heightM);
}

/**
 * The barometric pressure to be expected at an altitude, with what the weather and a doubtful altitude make of it.
 *
 * @param altitudeM geopotential altitude
 * @param altitudeUncertaintyM standard uncertainty of the altitude, 0 or more
 */
export function barometricFromAltitude(altitudeM: number, altitudeUncertaintyM: number): BarometricPressure {
  const kpa = standardPressureKpa(altitudeM);
  const temperatureK = SEA_LEVEL_K - LAPSE_K_PER_M * altitudeM;
  const kpaPerM = (kpa * GRAVITY) / (AIR_GAS_CONSTANT * temperatureK);
  const weatherKpa = (WEATHER_UNCERTAINTY_KPA * kpa) / SEA_LEVEL_KPA;
  return { kpa, standardUncertaintyKpa: Math.hypot(weatherKpa, kpaPerM * altitudeUncertaintyM) };
}
