import { describe, expect, it } from 'vitest';
import { gaugeOnSource } from '../../../server/session/gauge-on-source.ts';
import { zeroAirPressure } from '../../../server/session/zero-air-pressure.ts';

describe('the air pressure of a zero', () => {
  it.each([
    // U.S. Standard Atmosphere 1976, table I, geometric altitude, pressure in mb as printed; from memory.
    [500, 954.61],
    [1000, 898.76],
    [3000, 701.21],
  ])('at a height of %d m on the map is the printed %d mb, as sure as the weather', (altitudeM, millibar) => {
    const air = zeroAirPressure({ from: 'altitude', altitudeM, limitsM: 10 }, 90)!;
    expect(Math.abs(10 * air.kpa - millibar)).toBeLessThan(0.01);
    expect(air.standardUncertaintyKpa).toBeGreaterThan(1);
  });

  it('takes limits of error as a rectangular distribution (JCGM 100:2008, 4.3.7)', () => {
    const entered = zeroAirPressure({ from: 'entered', kpa: 99.5, limitsKpa: 0.3 }, null)!;
    expect(entered.kpa).toBe(99.5);
    expect(entered.standardUncertaintyKpa).toBeCloseTo(0.3 / Math.sqrt(3), 12);
  });

  it("is the board's own where it has a barometer, and none where it has not", () => {
    expect(zeroAirPressure({ from: 'board' }, 98.7)!.kpa).toBe(98.7);
    expect(zeroAirPressure({ from: 'board' }, null)).toBeNull();
  });
});

describe('a reference gauge on the source', () => {
  const zero = { kpa: 100, standardUncertaintyKpa: 0.1 };
  const vacuum = { shows: 'vacuum', fromKpa: 0, toKpa: 80, statedKpa: 1, stated: 'limits' } as const;

  it('that shows vacuum counts from the zero: its scale is turned into absolute pressure', () => {
    expect(gaugeOnSource(vacuum, zero)).toEqual({
      ok: true,
      value: { gauge: { lowestKpa: 20, highestKpa: 100, statedKpa: 1, stated: 'limits' }, zero },
    });
  });

  it('that shows absolute pressure is taken as it is, also without a zero', () => {
    const placed = gaugeOnSource({ ...vacuum, shows: 'absolute' }, null);
    expect(placed).toMatchObject({ ok: true, value: { gauge: { lowestKpa: 0, highestKpa: 80 } } });
  });

  it('is refused as a vacuum gauge without a zero, and with a scale of no length', () => {
    expect(gaugeOnSource(vacuum, null)).toEqual({ ok: false, code: 'calibration-zero-first' });
    expect(gaugeOnSource({ ...vacuum, toKpa: 0 }, zero)).toMatchObject({ ok: false, code: 'bad-request' });
  });
});
