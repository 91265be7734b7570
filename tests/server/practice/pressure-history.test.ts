import { describe, expect, it } from 'vitest';
import { PressureHistory } from '../../../server/practice/pressure-history.ts';

/** A pressure that goes in straight lines between grid points 0.1 s apart, with its exact integral. */
function filled(
  points: number,
  capacity: number,
): { history: PressureHistory; pressure: (point: number) => number } {
  const pressure = (point: number) => 50_000 + 20_000 * Math.sin(point * 1.7) + 100 * point;
  const history = new PressureHistory(1, 0.1, capacity);
  let integral = 0;
  for (let point = 0; point < points; point++) {
    if (point > 0) integral += 0.05 * (pressure(point - 1) + pressure(point));
    history.push(Float64Array.of(pressure(point)), Float64Array.of(integral));
  }
  return { history, pressure };
}

describe('PressureHistory', () => {
  it('has the exact mean over any interval of a pressure in straight lines', () => {
    const { history } = filled(40, 100);
    for (const [t0, t1] of [
      [0, 3.9],
      [0.237, 0.261],
      [1.05, 2.95],
      [0.3, 0.4],
    ] as const) {
      const slices = 200_000;
      let sum = 0;
      for (let slice = 0; slice < slices; slice++) {
        sum += history.atKpa(0, t0 + ((slice + 0.5) / slices) * (t1 - t0));
      }
      expect(history.meanKpa(0, t0, t1)).toBeCloseTo(sum / slices, 6);
    }
  });

  it('keeps the newest points and says what it has lost', () => {
    const { history, pressure } = filled(40, 10);
    expect(history.oldestS).toBeCloseTo(3, 9);
    expect(history.newestS).toBeCloseTo(3.9, 9);
    expect(history.atKpa(0, 3.5)).toBeCloseTo(pressure(35) / 1000, 9);
    expect(() => history.meanKpa(0, 2.9, 3.5)).toThrow(/outside the history from 3/);
    expect(() => history.atKpa(0, 4)).toThrow(RangeError);
  });

  it('refuses an empty interval', () => {
    expect(() => filled(10, 10).history.meanKpa(0, 0.5, 0.5)).toThrow(RangeError);
  });
});
