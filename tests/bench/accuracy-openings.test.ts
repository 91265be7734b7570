import { expect, it } from 'vitest';
import { openingRow } from './accuracy-openings.ts';

it('finds that openings all taken for equal are wrong by their spread, and silence is no answer', () => {
  const equal = openingRow((_t, kpa) => kpa.map(() => 1), 30, 3);
  // Even within 0.85-1.15, and ports 3 % apart: the ratio of two spreads by about 12 %.
  expect(equal.pooled).toBeGreaterThan(8);
  expect(equal.pooled).toBeLessThan(18);
  expect(equal.holds).toBe(false);
  expect(openingRow((_t, kpa) => kpa.map(() => null), 5, 3).holds).toBe(false);
});
