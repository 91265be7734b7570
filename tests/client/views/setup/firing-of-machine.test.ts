import { describe, expect, it } from 'vitest';
import { firingOfMachine } from '../../../../client/views/setup/firing-of-machine.ts';
import { firingMakes, firingSentence } from '../../../../client/views/setup/firing-words.ts';
import { firingAngles } from '../../../../server/contract/firing-angles.ts';
import type { FiringSetup } from '../../../../server/contract/setup.ts';

describe('what a record says of a machine', () => {
  it.each<[number, string, string, FiringSetup]>([
    [2, 'parallel twin', '270-450', { kind: 'twin-270-450' }],
    [2, 'Parallel twin', '540 / 180', { kind: 'twin-540-180' }],
    [2, 'parallel twin', '360-360', { kind: 'twin-360-360' }],
    [2, 'Parallel twin, 360° crank', '', { kind: 'twin-360-360' }],
    [2, 'flat twin', '', { kind: 'flat-twin' }],
    [2, 'boxer', '360-360', { kind: 'flat-twin' }],
    [2, 'V-twin', '315-405', { kind: 'own', order: [1, 2], gapsDeg: [315, 405] }],
    [3, 'in-line triple', '1-2-3', { kind: 'three-1-2-3' }],
    [4, 'inline four', '1-2-4-3', { kind: 'four-1-2-4-3' }],
    [4, 'in-line four', '1, 3, 4, 2', { kind: 'four-1-3-4-2' }],
    [4, 'inline four, crossplane', '1-3-2-4', { kind: 'four-crossplane' }],
    [4, 'V4', '1-3-2-4, 90-270-90-270', { kind: 'own', order: [1, 3, 2, 4], gapsDeg: [90, 270, 90, 270] }],
    [
      6,
      '',
      '1-6-2-4-3-5 120-120-120-120-120-120',
      {
        kind: 'own',
        order: [1, 6, 2, 4, 3, 5],
        gapsDeg: [120, 120, 120, 120, 120, 120],
      },
    ],
  ])('%i cylinders, "%s", "%s" is used where it is clear', (cylinders, layout, firing, expected) => {
    const told = firingOfMachine({ cylinders, layout, firing });
    expect(told).toEqual(expected);
    expect(firingAngles(told!, cylinders, 4).ok).toBe(true);
    expect(firingSentence(told!)).not.toBe('');
  });

  it.each<[number, string, string]>([
    [2, 'parallel twin', ''],
    // Which of the two follows the short gap is left open.
    [2, 'parallel twin, 180° crank', ''],
    [2, 'V-twin, 90°', ''],
    [2, 'parallel twin', '270'],
    [4, 'V4', '1-2-4-3'],
    [4, 'inline four, crossplane', '1-2-4-3'],
    [4, 'inline four', '1-2-3-4'],
    [4, 'inline four', '1-2-4-3, 180-180-180'],
    [3, 'triple', 'as the manual says'],
    [8, 'V8', ''],
  ])('%i cylinders, "%s", "%s" is left open', (cylinders, layout, firing) => {
    expect(firingOfMachine({ cylinders, layout, firing })).toBeNull();
  });
});

it('every number of cylinders has makes that fit it, and order and gaps fit them all', () => {
  for (let cylinders = 2; cylinders <= 8; cylinders++) {
    for (const strokes of [4, 2] as const) {
      const makes = firingMakes(cylinders, strokes);
      expect(makes[0]).toBe('not-known');
      expect(makes.at(-1)).toBe('own');
    }
    expect(firingMakes(cylinders, 2)).toHaveLength(2);
  }
  expect(firingMakes(2, 4)).toContain('v-twin');
  expect(firingMakes(3, 4)).toContain('three-1-3-2');
  expect(firingMakes(4, 4)).toContain('four-crossplane');
});
