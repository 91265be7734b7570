import { describe, expect, it } from 'vitest';
import {
  barometricFromAltitude,
  geopotentialAltitudeM,
  standardPressureKpa,
  WEATHER_UNCERTAINTY_KPA,
} from '../../calibration/standard-atmosphere.ts';

describe('the standard atmosphere', () => {
  it.each([
    // Geopotential column of ISO 2533 and the U.S. Standard Atmosphere 1976, recomputed from the constants of the latter.
    [0, 101.325],
    [500, 95.46084],
    [1000, 89.87457],
    [1500, 84.556],
    [2000, 79.49522],
    [3000, 70.10854],
    // Base of the next layer: 22632.1 Pa, USSA 1976.
    [11_000, 22.6321],
  ])('has at %d m geopotential %d kPa', (altitudeM, kpa) => {
    expect(Math.abs(standardPressureKpa(altitudeM) - kpa)).toBeLessThan(0.0001);
  });

  it.each([
    // U.S. Standard Atmosphere 1976, table I, geometric altitude, pressure in mb as printed; from memory.
    [500, 954.61],
    [1000, 898.76],
    [1500, 845.59],
    [2000, 795.01],
    [3000, 701.21],
  ])('has at a height of %d m on the map the printed %d mb', (heightM, millibar) => {
    const kpa = standardPressureKpa(geopotentialAltitudeM(heightM));
    // The table is cut, not rounded, in places: one unit of its last digit.
    expect(Math.abs(10 * kpa - millibar)).toBeLessThan(0.01);
  });

  it('as a barometric value is as uncertain as the weather, and more where the altitude is not known', () => {
    const known = barometricFromAltitude(0, 0);
    expect(known).toEqual({ kpa: 101.325, standardUncertaintyKpa: WEATHER_UNCERTAINTY_KPA });
    // Near sea level 8 m of height are about 1 hPa.
    const vague = barometricFromAltitude(0, 80);
    expect(vague.standardUncertaintyKpa).toBeCloseTo(Math.hypot(WEATHER_UNCERTAINTY_KPA, 0.961), 2);
    const high = barometricFromAltitude(2000, 0);
    expect(high.standardUncertaintyKpa).toBeCloseTo((WEATHER_UNCERTAINTY_KPA * 79.49522) / 101.325, 5);
  });

  it('ends with the troposphere', () => {
    expect(() => standardPressureKpa(12_000)).toThrow(RangeError);
    expect(() => standardPressureKpa(Number.NaN)).toThrow(RangeError);
  });
});
