import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { pulseTopKpa } from '../../../client/charts/pulse-scale.ts';
import { PRESSURE_UNITS, pressureUnit } from '../../../client/units/pressure-unit.ts';

const KPA = pressureUnit('kPa');
const peak = fc.double({ min: 0, max: 100, noNaN: true });

describe('height of the pulses’ scale', () => {
  test('the highest peak is on it and fills at least a third (seed 21)', () => {
    fc.assert(
      fc.property(peak, fc.constantFrom(...PRESSURE_UNITS), fc.option(peak), (highest, unit, before) => {
        const top = pulseTopKpa(highest, unit, before === null ? null : Math.max(5, before));
        expect(top).toBeGreaterThanOrEqual(highest);
        if (highest > 6) expect(highest / top).toBeGreaterThan(1 / 3);
      }),
      { seed: 21 },
    );
  });

  test('it holds still while the peaks wander', () => {
    let top = pulseTopKpa(57, KPA, null);
    const seen = new Set([top]);
    for (const highest of [52, 57, 46, 55, 44]) {
      top = pulseTopKpa(highest, KPA, top);
      seen.add(top);
    }
    expect(seen.size).toBe(1);
  });

  test('without pulses it stays', () => {
    expect(pulseTopKpa(null, KPA, 40)).toBe(40);
    expect(pulseTopKpa(null, KPA, null)).toBe(60);
  });
});
