import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { MOST_DECIMALS, decimalsFor as printedDecimals } from '../../../calibration/pressure-units.ts';
import { decimalsFor, steadyDecimals } from '../../../client/units/decimals.ts';
import { fromKpa, PRESSURE_UNITS } from '../../../client/units/pressure-unit.ts';

describe('decimals of a figure', () => {
  // GUM, JCGM 100:2008, 7.2.6: the uncertainty to at most two significant digits, the figure rounded to agree.
  test.each([
    [0.4, 1],
    [0.3, 1],
    [0.29, 2],
    [0.2, 2],
    [0.12, 2],
    [0.1, 2],
    [0.096, 2],
    [0.04, 2],
    [3.2, 0],
    [2.3, 1],
    [1.4, 1],
    [0.95, 1],
    [14, 0],
    [300, 0],
  ])('an uncertainty of %f asks for %i decimals', (expanded, decimals) => {
    expect(decimalsFor(expanded, 3)).toBe(decimals);
  });

  test('the uncertainty itself then shows one or two significant digits (seed 726)', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.02, max: 9, noNaN: true }), (expanded) => {
        const shown = expanded.toFixed(decimalsFor(expanded, 6)).replace('.', '').replace(/^0+/, '');
        expect(shown.length).toBeGreaterThanOrEqual(1);
        expect(shown.length).toBeLessThanOrEqual(2);
        if (shown.length === 2) expect(Number(shown)).toBeLessThanOrEqual(30);
      }),
      { seed: 726 },
    );
  });

  test('the screen and the printed report show the same decimals (seed 727)', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.001, max: 50, noNaN: true }),
        fc.constantFrom(...PRESSURE_UNITS),
        (expandedKpa, unit) => {
          const printed = printedDecimals(expandedKpa, unit.id);
          expect(decimalsFor(fromKpa(expandedKpa, unit), MOST_DECIMALS)).toBe(printed);
        },
      ),
      { seed: 727 },
    );
  });

  test('no more decimals than the unit bears', () => {
    expect(decimalsFor(0.001, 2)).toBe(2);
    expect(decimalsFor(0, 2)).toBe(2);
  });

  test('an uncertainty that is not known claims less than the unit bears', () => {
    expect(decimalsFor(null, 2)).toBe(1);
    expect(decimalsFor(Number.NaN, 2)).toBe(1);
  });

  test('a figure whose uncertainty hovers at a border keeps its length', () => {
    let decimals: number | null = null;
    const lengths = new Set<number>();
    for (const expanded of [0.31, 0.295, 0.305, 0.29, 0.31, 0.285]) {
      decimals = steadyDecimals(expanded, 3, decimals);
      lengths.add(decimals);
    }
    expect(lengths.size).toBe(1);
  });

  test('a real change of the uncertainty is followed', () => {
    expect(steadyDecimals(0.05, 3, 1)).toBe(2);
    expect(steadyDecimals(0.6, 3, 2)).toBe(1);
  });
});
