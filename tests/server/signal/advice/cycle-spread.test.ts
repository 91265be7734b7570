import { describe, expect, it } from 'vitest';
import { Random } from '../../../../server/practice/random.ts';
import { CycleSpread } from '../../../../server/signal/advice/cycle-spread.ts';

const SEED = 4;
/** What the reading says: far too much, to show when it is used. */
const UNKNOWN = [[9]];

describe(`the spread of cycles, seed ${SEED}`, () => {
  it('is the variance of independent cycles', () => {
    const random = new Random(SEED);
    const spread = new CycleSpread();
    for (let i = 0; i < 2000; i++) spread.push([0.2 * random.normal()], 1);
    expect(Math.sqrt(spread.covariance(UNKNOWN)[0]![0]!)).toBeCloseTo(0.2, 1);
  });

  it('hardly grows when the level jumps by many times its size', () => {
    const random = new Random(SEED);
    const spread = new CycleSpread();
    const push = (level: number) => spread.push([level + 0.2 * random.normal()], 1);
    for (let i = 0; i < 200; i++) push(0);
    const before = spread.covariance(UNKNOWN)[0]![0]!;
    for (let i = 0; i < 20; i++) push(5);
    expect(spread.covariance(UNKNOWN)[0]![0]!).toBeLessThan(1.6 * before);
  });

  it('counts a block of cycles as so many', () => {
    const random = new Random(SEED);
    const spread = new CycleSpread();
    for (let i = 0; i < 2000; i++) spread.push([(0.2 / Math.sqrt(3)) * random.normal()], 3);
    expect(Math.sqrt(spread.covariance(UNKNOWN)[0]![0]!)).toBeCloseTo(0.2, 1);
  });

  it('knows that one direction scatters more than another', () => {
    const random = new Random(SEED);
    const spread = new CycleSpread();
    for (let i = 0; i < 2000; i++) spread.push([0.1 * random.normal(), 0.4 * random.normal()], 1);
    const [quiet, loud] = spread.covariance([
      [9, 0],
      [0, 9],
    ]);
    expect(Math.sqrt(loud![1]!)).toBeCloseTo(0.4, 1);
    expect(Math.sqrt(loud![1]! / quiet![0]!)).toBeGreaterThan(2);
  });

  it('goes by the reading while little is known', () => {
    expect(new CycleSpread().covariance(UNKNOWN)).toBe(UNKNOWN);
  });

  it('does not compare across a break', () => {
    const spread = new CycleSpread();
    for (let i = 0; i < 30; i++) {
      spread.push([i], 5);
      spread.break();
    }
    expect(spread.covariance(UNKNOWN)).toBe(UNKNOWN);
  });
});
