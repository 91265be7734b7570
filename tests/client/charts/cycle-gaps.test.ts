import { describe, expect, test } from 'vitest';
import { cycleGapsKpa } from '../../../client/charts/cycle-gaps.ts';
import { practiceScene, updateOf } from '../screen/fake-scene.ts';

const half = () => 0.5;

describe('gaps of single cycles', () => {
  test('against the mean of all they sum to nothing', () => {
    const gaps = cycleGapsKpa(updateOf(practiceScene(4), 1, 8, half), 'mean');
    expect(gaps.reduce<number>((sum, gap) => sum + gap!, 0)).toBeCloseTo(0, 9);
  });

  test('the reference cylinder has no gap to itself', () => {
    const update = updateOf(practiceScene(3), 1, 8, half);
    const gaps = cycleGapsKpa(update, 2);
    expect(gaps[1]).toBe(0);
    expect(gaps[0]).toBeCloseTo(update.cylinders[0]!.lastCycleKpa! - update.cylinders[1]!.lastCycleKpa!, 9);
  });

  test('a lost reference leaves nothing to compare with; another lost sensor leaves the rest', () => {
    const scene = practiceScene(3);
    scene.sensors[1] = 'dead';
    const update = updateOf(scene, 1, 8, half);
    expect(cycleGapsKpa(update, 2)).toEqual([null, null, null]);
    const gaps = cycleGapsKpa(update, 'mean');
    expect(gaps[1]).toBeNull();
    expect(gaps[0]).not.toBeNull();
  });
});
