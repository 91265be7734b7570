import {
  type BarometricPressure,
  barometricFromAltitude,
  geopotentialAltitudeM,
} from '../../calibration/standard-atmosphere.ts';
import { rectangular } from '../../calibration/uncertainty.ts';
import type { AirPressure } from '../contract/calibration.ts';

/** Largest error of a barometer on a board, by the data sheets of the usual ones [kPa]. */
const BOARD_BAROMETER_LIMITS_KPA = 0.25;

/**
 * The air pressure that a zero is set against, by where the person says it comes from.
 *
 * @param boardKpa what the board's own barometer reads, or null
 * @returns null where the board's is asked for and it has none
 */
export function zeroAirPressure(air: AirPressure, boardKpa: number | null): BarometricPressure | null {
  if (air.from === 'entered') return { kpa: air.kpa, standardUncertaintyKpa: rectangular(air.limitsKpa) };
  if (air.from === 'altitude')
    return barometricFromAltitude(geopotentialAltitudeM(air.altitudeM), rectangular(air.limitsM));
  if (boardKpa === null) return null;
  return { kpa: boardKpa, standardUncertaintyKpa: rectangular(BOARD_BAROMETER_LIMITS_KPA) };
}
