import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { spreadLabels } from '../../../client/charts/spread-labels.ts';

const WIDTH = 10;

describe('labels along the rail', () => {
  test('labels that have room stay where they are', () => {
    expect(spreadLabels([20, 80, 50], WIDTH, 0, 100)).toEqual([20, 80, 50]);
  });

  test('labels at the same place stand side by side round it, in their order', () => {
    expect(spreadLabels([50, 50], WIDTH, 0, 100)).toEqual([45, 55]);
    expect(spreadLabels([50, 50, 50], WIDTH, 0, 100)).toEqual([40, 50, 60]);
  });

  test('none covers another, none leaves the rail, and their order is that of the markers (seed 5)', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 200, noNaN: true }), { minLength: 1, maxLength: 8 }),
        (wanted) => {
          const placed = spreadLabels(wanted, WIDTH, 0, 200);
          const order = wanted.map((_, index) => index).sort((a, b) => placed[a]! - placed[b]!);
          for (let rank = 1; rank < order.length; rank++) {
            expect(placed[order[rank]!]! - placed[order[rank - 1]!]!).toBeGreaterThanOrEqual(WIDTH - 1e-9);
            expect(wanted[order[rank]!]!).toBeGreaterThanOrEqual(wanted[order[rank - 1]!]!);
          }
          expect(Math.min(...placed)).toBeGreaterThanOrEqual(WIDTH / 2 - 1e-9);
          expect(Math.max(...placed)).toBeLessThanOrEqual(200 - WIDTH / 2 + 1e-9);
        },
      ),
      { seed: 5 },
    );
  });

  test('three labels are as near to their markers as a search over all places can put them (seed 6)', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 10, max: 50 }), { minLength: 3, maxLength: 3 }), (wanted) => {
        const sorted = wanted.toSorted((a, b) => a - b);
        let best = Number.POSITIVE_INFINITY;
        for (let a = 0; a <= 60; a += 0.5) {
          for (let b = a + WIDTH; b <= 70; b += 0.5) {
            for (let c = b + WIDTH; c <= 80; c += 0.5) {
              best = Math.min(best, (a - sorted[0]!) ** 2 + (b - sorted[1]!) ** 2 + (c - sorted[2]!) ** 2);
            }
          }
        }
        const placed = spreadLabels(sorted, WIDTH, -1000, 1000);
        const cost = placed.reduce((sum, place, index) => sum + (place - sorted[index]!) ** 2, 0);
        expect(cost).toBeLessThanOrEqual(best + 1e-6);
      }),
      { seed: 6, numRuns: 30 },
    );
  });
});
