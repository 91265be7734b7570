import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PRESSURE_UNITS as CALIBRATION_UNITS, KPA_PER_UNIT } from '../../../calibration/pressure-units.ts';
import { fromKpa, PRESSURE_UNITS, pressureUnit, toKpa } from '../../../client/units/pressure-unit.ts';

// NIST SP 811 (2008), appendix B.8, pascals in one unit, to the digits that it prints.
const NIST_PA: readonly (readonly [string, number, number])[] = [
  ['inHg', 3386.389, 1e-3],
  ['cmHg', 1333.224, 1e-3],
  ['mmHg', 133.3224, 1e-4],
  ['mbar', 100, 0],
  ['psi', 6894.757, 1e-3],
  ['kPa', 1000, 0],
];

describe('pressure units of the screen', () => {
  test.each(NIST_PA)('one %s is %f Pa as NIST SP 811 prints it', (id, pascals, lastDigit) => {
    expect(Math.abs(pressureUnit(id).kpaPerUnit * 1000 - pascals)).toBeLessThanOrEqual(lastDigit / 2 + 1e-9);
  });

  test('the factors follow from their definitions: mercury of 13 595.1 kg/m³, standard gravity, the pound', () => {
    const mmHgPa = 13_595.1 * 9.80665 * 0.001;
    expect(pressureUnit('mmHg').kpaPerUnit * 1000).toBeCloseTo(mmHgPa, 8);
    expect(pressureUnit('inHg').kpaPerUnit * 1000).toBeCloseTo(mmHgPa * 25.4, 6);
    expect(pressureUnit('psi').kpaPerUnit * 1000).toBeCloseTo((0.45359237 * 9.80665) / 0.0254 ** 2, 8);
  });

  test('a standard atmosphere reads 29.92 inHg, 760 mmHg, 76 cmHg, 1013.25 mbar and 14.696 psi', () => {
    // ISO 2533; the readings are those of any table of the standard atmosphere.
    const read = (id: string) => fromKpa(101.325, pressureUnit(id));
    expect(read('inHg')).toBeCloseTo(29.92, 2);
    expect(read('mmHg')).toBeCloseTo(760, 3);
    expect(read('cmHg')).toBeCloseTo(76, 4);
    expect(read('mbar')).toBeCloseTo(1013.25, 9);
    expect(read('psi')).toBeCloseTo(14.696, 3);
  });

  test('there and back is the same pressure in every unit (seed 811)', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -120, max: 120, noNaN: true }),
        fc.constantFrom(...PRESSURE_UNITS),
        (kpa, unit) => {
          expect(toKpa(fromKpa(kpa, unit), unit)).toBeCloseTo(kpa, 9);
        },
      ),
      { seed: 811 },
    );
  });

  test('screen and calibration use the same units with the same factors', () => {
    expect(PRESSURE_UNITS.map(({ id }) => id)).toEqual([...CALIBRATION_UNITS]);
    for (const { id, kpaPerUnit } of PRESSURE_UNITS) expect(kpaPerUnit).toBe(KPA_PER_UNIT[id]);
  });

  test('a unit that is not known falls back to kPa', () => {
    expect(pressureUnit('furlong').id).toBe('kPa');
    expect(pressureUnit(null).id).toBe('kPa');
  });
});
