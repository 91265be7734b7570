import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { railHalfWidthKpa, railTicks, stepAtLeast } from '../../../client/charts/rail-scale.ts';
import { fromKpa, PRESSURE_UNITS, pressureUnit } from '../../../client/units/pressure-unit.ts';

const KPA = pressureUnit('kPa');
const unit = fc.constantFrom(...PRESSURE_UNITS);
const tolerance = fc.double({ min: 0.05, max: 10, noNaN: true });
const gap = fc.double({ min: 0, max: 30, noNaN: true });

describe('width of the rail', () => {
  test('the band never fills more than half of it, and a marker within reach is never off it (seed 1)', () => {
    fc.assert(
      fc.property(gap, tolerance, unit, (largest, tol, shown) => {
        const half = railHalfWidthKpa(largest, tol, shown, null);
        expect(half).toBeGreaterThanOrEqual(2 * tol * (1 - 1e-9));
        if (largest < 35 * tol) expect(half).toBeGreaterThanOrEqual(largest);
      }),
      { seed: 1 },
    );
  });

  test('a hose that came off does not flatten the picture', () => {
    expect(railHalfWidthKpa(70, 1, KPA, 2)).toBeLessThanOrEqual(40);
  });

  test('it is round in the unit that is shown (seed 2)', () => {
    fc.assert(
      fc.property(gap, tolerance, unit, (largest, tol, shown) => {
        const half = fromKpa(railHalfWidthKpa(largest, tol, shown, null), shown);
        const lead = half / 10 ** Math.floor(Math.log10(half * (1 + 1e-9)));
        expect([1, 1.5, 2, 3, 4, 5, 6, 8].some((rung) => Math.abs(rung - lead) < 1e-6)).toBe(true);
      }),
      { seed: 2 },
    );
  });

  test('it holds still while a marker wanders near its edge', () => {
    let half = railHalfWidthKpa(2.9, 1, KPA, null);
    const seen = new Set([half]);
    for (const largest of [2.5, 2.9, 2.3, 2.8, 2.2, 2.9]) {
      half = railHalfWidthKpa(largest, 1, KPA, half);
      seen.add(half);
    }
    expect(seen.size).toBe(1);
  });

  test('it widens at once for a marker that would leave it and narrows when the markers have come together', () => {
    const wide = railHalfWidthKpa(7, 1, KPA, 2);
    expect(wide).toBeGreaterThanOrEqual(7);
    expect(railHalfWidthKpa(0.4, 1, KPA, wide)).toBe(2);
  });

  test('the same readings settle on the same width whatever was shown before (seed 3)', () => {
    fc.assert(
      fc.property(
        gap,
        tolerance,
        unit,
        fc.double({ min: 0.1, max: 60, noNaN: true }),
        (largest, tol, shown, before) => {
          const once = railHalfWidthKpa(largest, tol, shown, before);
          expect(railHalfWidthKpa(largest, tol, shown, once)).toBeCloseTo(once, 9);
        },
      ),
      { seed: 3 },
    );
  });

  test('without a reading it stays', () => {
    expect(railHalfWidthKpa(null, 1, KPA, 5)).toBeCloseTo(5, 9);
    expect(railHalfWidthKpa(null, 1, KPA, null)).toBe(2);
  });
});

describe('marks of the rail', () => {
  test('nought is among them, they are even on both sides and few enough (seed 4)', () => {
    fc.assert(
      fc.property(gap, tolerance, unit, fc.integer({ min: 3, max: 20 }), (largest, tol, shown, most) => {
        const half = railHalfWidthKpa(largest, tol, shown, null);
        const { ticks, decimals } = railTicks(half, shown, most);
        const values = ticks.map(({ value }) => value);
        expect(values).toContain(0);
        expect(values.toReversed().map((value) => (value === 0 ? 0 : -value))).toEqual(values);
        expect(values.length).toBeLessThanOrEqual(most + 1);
        for (const value of values) expect(Number(value.toFixed(decimals))).toBeCloseTo(value, 9);
      }),
      { seed: 4 },
    );
  });

  test('3 kPa either side with room for 13 marks goes in steps of a half', () => {
    const { ticks, decimals } = railTicks(3, KPA, 13);
    expect(ticks.map(({ value }) => value)).toEqual([
      -3, -2.5, -2, -1.5, -1, -0.5, 0, 0.5, 1, 1.5, 2, 2.5, 3,
    ]);
    expect(decimals).toBe(1);
  });

  test('a step of the ladder that is met exactly is taken as it is', () => {
    expect(stepAtLeast(3, KPA)).toBe(3);
    expect(stepAtLeast(3.01, KPA)).toBe(4);
    expect(stepAtLeast(8.5, KPA)).toBe(10);
  });
});
