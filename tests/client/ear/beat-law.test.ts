import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  BEAT_PER_DOUBLING_HZ,
  beatHz,
  FASTEST_BEAT_HZ,
  MIDDLE_TONE_HZ,
  SLOWEST_BEAT_HZ,
  toneFrequencies,
} from '../../../client/ear/beat-law.ts';

const gap = fc.double({ min: 0, max: 60, noNaN: true });
const tolerance = fc.double({ min: 0.05, max: 5, noNaN: true });

describe('beat of the ear cue', () => {
  test('inside the band there is one steady tone', () => {
    expect(beatHz(0, 1)).toBe(0);
    expect(beatHz(1, 1)).toBe(0);
    expect(beatHz(-0.99, 1)).toBe(0);
  });

  test('just outside the band the beat can be counted: less than one in a second', () => {
    expect(beatHz(1.0001, 1)).toBeGreaterThan(0);
    expect(beatHz(1.0001, 1)).toBeLessThan(1);
    expect(beatHz(1.0001, 1)).toBeCloseTo(SLOWEST_BEAT_HZ, 2);
  });

  test('each doubling of the gap adds the same', () => {
    expect(beatHz(4, 1)! - beatHz(2, 1)!).toBeCloseTo(BEAT_PER_DOUBLING_HZ, 9);
    expect(beatHz(2.4, 0.3)! - beatHz(1.2, 0.3)!).toBeCloseTo(BEAT_PER_DOUBLING_HZ, 9);
  });

  test('a smaller gap never beats faster, and none beats faster than can be heard as a beat (seed 12)', () => {
    // Beats merge into roughness near 15 Hz (common psychoacoustics, from memory).
    fc.assert(
      fc.property(gap, gap, tolerance, (a, b, tol) => {
        const [small, large] = a < b ? [a, b] : [b, a];
        expect(beatHz(small, tol)!).toBeLessThanOrEqual(beatHz(large, tol)!);
        expect(beatHz(large, tol)!).toBeLessThanOrEqual(Math.min(FASTEST_BEAT_HZ, 15));
      }),
      { seed: 12 },
    );
  });

  test('which side pulls more does not change the beat (seed 13)', () => {
    fc.assert(
      fc.property(gap, tolerance, (a, tol) => {
        expect(beatHz(-a, tol)).toBe(beatHz(a, tol));
      }),
      { seed: 13 },
    );
  });

  test('nothing is sounded for a gap that is not known', () => {
    expect(beatHz(null, 1)).toBeNull();
    expect(beatHz(Number.NaN, 1)).toBeNull();
  });

  test('a tolerance that is none is a mistake of ours', () => {
    expect(() => beatHz(1, 0)).toThrow(RangeError);
    expect(() => beatHz(1, Number.NaN)).toThrow(RangeError);
  });
});

describe('the two tones', () => {
  test('they differ by the beat, and the higher one belongs to the side that pulls more', () => {
    const [first, second] = toneFrequencies(5, true);
    expect(first - second).toBeCloseTo(5, 9);
    expect((first + second) / 2).toBeCloseTo(MIDDLE_TONE_HZ, 9);
    const [other, pulls] = toneFrequencies(5, false);
    expect(pulls).toBeGreaterThan(other);
  });
});
