import { describe, expect, test } from 'vitest';
import { TAIL_MS, type TailPoint, tailStrength, tailWith } from '../../../client/charts/rail-tail.ts';

const marker = (cyl: number, kpa: number) => ({ cyl, kpa, expandedKpa: 0.1 });

describe('tail of a marker', () => {
  test('it remembers three seconds and fades', () => {
    let tail: readonly TailPoint[] = [];
    for (let ms = 0; ms <= 10_000; ms += 40) tail = tailWith(tail, [marker(0, ms / 1000)], ms);
    expect(tail[0]!.atMs).toBeGreaterThanOrEqual(10_000 - TAIL_MS);
    expect(tailStrength(tail.length - 1)).toBeLessThan(0.1);
    expect(tailStrength(0)).toBeGreaterThan(0.9);
    expect(tail.length).toBeLessThan(30);
  });

  test('it is the same as long as it takes no new place, so that it is not drawn again', () => {
    const tail = tailWith([], [marker(0, 1)], 0);
    expect(tailWith(tail, [marker(0, 1.5)], 40)).toBe(tail);
    expect(tailWith(tail, [marker(0, 1.5)], 160)).toHaveLength(2);
  });

  test('a cylinder that is lost leaves no tail behind', () => {
    const tail = tailWith(tailWith([], [marker(0, 1), marker(1, 2)], 0), [marker(0, 1)], 200);
    expect(tail.every(({ cyl }) => cyl === 0)).toBe(true);
  });
});
