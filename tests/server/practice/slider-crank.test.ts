import { describe, expect, it } from 'vitest';
import { pistonTravel, STEPS_PER_DEGREE, volumeTable } from '../../../server/practice/slider-crank.ts';

describe('pistonTravel', () => {
  // Recomputed from Heywood (1988), equations 2.4 to 2.6; no published table was found.
  it.each([
    [50, 200, 30, 8.26738],
    [50, 200, 60, 29.74376],
    [50, 200, 90, 56.35083],
    [50, 200, 120, 79.74376],
    [50, 200, 180, 100],
    [27.5, 84, 30, 4.81731],
    [27.5, 84, 45, 10.3363],
    [27.5, 84, 60, 17.19683],
    [27.5, 84, 90, 32.12904],
    [27.5, 84, 135, 49.22717],
    [27.5, 84, 180, 55],
  ])('radius %f, rod %f, %i degrees: %f', (radius, rod, angle, travel) => {
    expect(pistonTravel(angle, radius, rod)).toBeCloseTo(travel, 5);
  });

  it('keeps the rod at its length: the pin is on the axis, the crank on its circle', () => {
    for (let angle = 0; angle < 720; angle += 7) {
      const radians = (angle * Math.PI) / 180;
      const pinHeight = 50 + 200 - pistonTravel(angle, 50, 200);
      const length = Math.hypot(50 * Math.sin(radians), pinHeight - 50 * Math.cos(radians));
      expect(length).toBeCloseTo(200, 10);
    }
  });

  it('refuses a rod that is shorter than the crank', () => {
    expect(() => pistonTravel(90, 50, 50)).toThrow(RangeError);
  });
});

describe('volumeTable', () => {
  it('goes from the clearance to clearance and displacement and back', () => {
    const table = volumeTable(400e-6, 10.5, 3.9);
    expect(table.length).toBe(360 * STEPS_PER_DEGREE + 1);
    expect(table[0]).toBeCloseTo(400e-6 / 9.5, 12);
    expect(table[180 * STEPS_PER_DEGREE]).toBeCloseTo(400e-6 * (1 + 1 / 9.5), 12);
    expect(table[360 * STEPS_PER_DEGREE]).toBeCloseTo(table[0]!, 12);
  });
});
