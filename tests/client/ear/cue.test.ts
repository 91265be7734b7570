import { describe, expect, test } from 'vitest';
import { SLOWEST_BEAT_HZ } from '../../../client/ear/beat-law.ts';
import { cueOf, SILENCE } from '../../../client/ear/cue.ts';
import { practiceScene, updateOf } from '../screen/fake-scene.ts';

const half = () => 0.5;
const reading = (gapsKpa: number[], expandedKpa = 0.1) => {
  const scene = practiceScene(gapsKpa.length);
  scene.expandedKpa = expandedKpa;
  return updateOf(scene, 10, 80, half, gapsKpa);
};

describe('what is heard for a reading', () => {
  test('no reading is silence', () => {
    expect(cueOf(null, 1)).toBe(SILENCE);
  });

  test('one cylinder has nothing to be compared with: silence', () => {
    expect(cueOf(reading([0]), 1).beatHz).toBeNull();
  });

  test('the cylinders furthest apart are compared, the lower number on the left', () => {
    const cue = cueOf(reading([0.4, 2.2, -1.9, -0.7]), 1);
    expect(cue.sides).toEqual([2, 3]);
    expect(cue.firstPullsMore).toBe(true);
    expect(cueOf(reading([-2, 2]), 1).firstPullsMore).toBe(false);
  });

  test('a reading that is surely inside is one steady tone', () => {
    expect(cueOf(reading([0.3, -0.3]), 1).beatHz).toBe(0);
  });

  test('a reading that may be inside still beats, as slowly as can be', () => {
    const cue = cueOf(reading([0.9, -0.9], 0.3), 1);
    expect(cue.beatHz).toBe(SLOWEST_BEAT_HZ);
  });
});
