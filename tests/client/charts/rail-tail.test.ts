import { describe, expect, test } from 'vitest';
import { TAIL_MS, type TailPoint, tailStrength, tailWith } from '../../../client/charts/rail-tail.ts';

const marker = (cyl: number, kpa: number) => ({ cyl, kpa, expandedKpa: 0.1 });

describe('tail of a marker', () => {
  test('it remembers three seconds and fades', () => {
    let tail: readonly TailPoint[] = [];
    for (let ms = 0; ms <= 10_000; ms += 40) tail = tailWith(tail, [marker(0, ms / 1000)], ms);
    expect(tail[0]!.atMs).toBeGreaterThanOrEqual(10_000 - TAIL_MS);
    expect(tailStrength(tail[0]!, 10_000)).toBeLessThan(0.1);
    expect(tailStrength(tail.at(-1)!, 10_000)).toBeGreaterThan(0.9);
    expect(tail.length).toBeLessThan(30);
  });

  test('a cylinder that is lost leaves no tail behind', () => {
    const tail = tailWith(tailWith([], [marker(0, 1), marker(1, 2)], 0), [marker(0, 1)], 200);
    expect(tail.every(({ cyl }) => cyl === 0)).toBe(true);
  });
});
