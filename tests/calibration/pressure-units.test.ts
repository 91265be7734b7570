import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  decimalsFor,
  fromKpa,
  KPA_PER_UNIT,
  PRESSURE_UNITS,
  toKpa,
} from '../../calibration/pressure-units.ts';

const SEED = 5_130_771;

describe('pressure units', () => {
  it.each([
    // Printed factors of NIST SP 811 (2008), appendix B.8, "to pascal", conventional mercury; cmHg from memory.
    ['inHg', 3386.389],
    ['cmHg', 1333.224],
    ['mmHg', 133.3224],
    ['mbar', 100],
    ['psi', 6894.757],
    ['kPa', 1000],
  ] as const)('%s is the %d Pa of NIST SP 811 to its printed digits', (unit, pascal) => {
    const ours = 1000 * KPA_PER_UNIT[unit];
    const digits = String(pascal).replace('.', '').length;
    expect(Number(ours.toPrecision(digits))).toBe(pascal);
  });

  it.each([
    // Output of GNU units 2.22, definitions of its own: "1 inHg" and the like in Pa.
    ['inHg', 3386.3886],
    ['mmHg', 133.32239],
    ['psi', 6894.7573],
  ] as const)('%s is the %d Pa of GNU units', (unit, pascal) => {
    expect(Math.abs((1000 * KPA_PER_UNIT[unit]) / pascal - 1)).toBeLessThan(2e-8);
  });

  it('hold by definition: mercury, pound and inch', () => {
    expect(KPA_PER_UNIT.inHg).toBeCloseTo((13595.1 * 9.80665 * 0.0254) / 1000, 13);
    expect(KPA_PER_UNIT.psi).toBeCloseTo((0.45359237 * 9.80665) / 0.0254 ** 2 / 1000, 13);
    expect(KPA_PER_UNIT.inHg / KPA_PER_UNIT.mmHg).toBeCloseTo(25.4, 12);
    expect(KPA_PER_UNIT.cmHg / KPA_PER_UNIT.mmHg).toBeCloseTo(10, 12);
  });

  it('give the usual tolerances and the standard atmosphere', () => {
    for (const [mmHg, kpa] of [
      [10, 1.333],
      [20, 2.666],
      [30, 4.0],
      [40, 5.333],
    ] as const)
      expect(toKpa(mmHg, 'mmHg')).toBeCloseTo(kpa, 3);
    expect(fromKpa(101.325, 'inHg')).toBeCloseTo(29.9213, 4);
    expect(fromKpa(101.325, 'mmHg')).toBeCloseTo(759.99989, 5);
    expect(fromKpa(101.325, 'mbar')).toBeCloseTo(1013.25, 10);
    expect(fromKpa(101.325, 'psi')).toBeCloseTo(14.6959, 4);
  });

  it(`come back to 14 digits by way of kPa and another unit (seed ${SEED})`, () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...PRESSURE_UNITS),
        fc.constantFrom(...PRESSURE_UNITS),
        fc.integer({ min: -100_000, max: 100_000 }),
        fc.integer({ min: 0, max: 4 }),
        (unit, other, digits, places) => {
          const typed = Number(`${digits}e-${places}`);
          const back = fromKpa(toKpa(fromKpa(toKpa(typed, unit), other), other), unit);
          expect(Math.abs(back - typed)).toBeLessThanOrEqual(Math.abs(typed) * 1e-14);
        },
      ),
      { seed: SEED, numRuns: 1000 },
    );
  });
});

describe('decimals', () => {
  it.each([
    [0.15, 'kPa', 2],
    [0.4, 'kPa', 1],
    [0.0996, 'kPa', 2],
    [0.096, 'kPa', 2],
    [0.99, 'kPa', 1],
    [0.999, 'kPa', 1],
    [1.2, 'kPa', 1],
    [2.94, 'kPa', 1],
    [2.97, 'kPa', 0],
    [3.4, 'kPa', 0],
    [25, 'kPa', 0],
    [0.00002, 'kPa', 4],
    // 0.15 kPa = 0.0443 inHg = 1.125 mmHg = 0.0218 psi
    [0.15, 'inHg', 2],
    [0.15, 'mmHg', 1],
    [0.15, 'cmHg', 2],
    [0.15, 'mbar', 1],
    [0.15, 'psi', 3],
  ] as const)('of an uncertainty of %d kPa in %s are %d', (kpa, unit, decimals) => {
    expect(decimalsFor(kpa, unit)).toBe(decimals);
  });

  it(`show one or two digits of the uncertainty and round it by less than a sixth (seed ${SEED})`, () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...PRESSURE_UNITS),
        fc.double({ min: 0.002, max: 9, noNaN: true }),
        (unit, expandedKpa) => {
          const value = fromKpa(expandedKpa, unit);
          fc.pre(value < 90);
          const shown = value.toFixed(decimalsFor(expandedKpa, unit));
          expect(Math.abs(Number(shown) / value - 1)).toBeLessThan(1 / 6 + 0.001);
          expect(shown.replace('.', '').replace(/^0+/, '').length).toBeLessThanOrEqual(2);
        },
      ),
      { seed: SEED, numRuns: 2000 },
    );
  });

  it('are not asked of what is not known', () => {
    expect(() => decimalsFor(0, 'kPa')).toThrow(RangeError);
    expect(() => decimalsFor(Number.NaN, 'kPa')).toThrow(RangeError);
    expect(() => decimalsFor(Infinity, 'kPa')).toThrow(RangeError);
  });
});
