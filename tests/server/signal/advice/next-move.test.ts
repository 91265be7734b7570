import { describe, expect, it } from 'vitest';
import { helmertAxes, toSpace } from '../../../../server/signal/advice/gap-space.ts';
import { identity } from '../../../../server/signal/advice/gaussian.ts';
import {
  baseAndScrews,
  type Linkage,
  oneScrewBetweenTwo,
  rackOfFour,
} from '../../../../server/signal/advice/linkage.ts';
import { planNextMove } from '../../../../server/signal/advice/next-move.ts';
import {
  learnedEffect,
  priorEffect,
  type ScrewEffect,
} from '../../../../server/signal/advice/screw-effects.ts';

const TOLERANCE_KPA = 0.5;
const SE_KPA = 0.04;

/** The plan for gaps to the mean, when the last move of each screw shifted the vacuums by so much, or is not known. */
function planFor(
  linkage: Linkage,
  gaps: readonly number[],
  units: readonly (readonly number[] | null)[],
  kept: number | null = null,
) {
  const axes = helmertAxes(linkage.cylinders);
  const noise = identity(axes.length, SE_KPA ** 2);
  const effects = linkage.screws.map((screw, at): ScrewEffect => {
    const prior = priorEffect(screw, axes);
    const unit = units[at];
    return unit == null ? prior : learnedEffect(prior, null, toSpace(axes, unit), noise);
  });
  return planNextMove({
    axes,
    z: toSpace(axes, gaps),
    covariance: noise,
    reference: 'mean',
    toleranceKpa: TOLERANCE_KPA,
    effects,
    kept,
  });
}

describe('the next move on a twin', () => {
  const twin = oneScrewBetweenTwo();

  it('is a little, either way, while nothing is known', () => {
    expect(planFor(twin, [2, -2], [null])).toEqual({
      screw: 0,
      direction: 'either',
      fraction: null,
      confidence: 1,
    });
  });

  // The last move shifted cylinder 2 by -1: what is left decides.
  it.each([
    { second: 2, direction: 'same', fraction: 2 },
    { second: 0.8, direction: 'same', fraction: 0.8 },
    { second: -2, direction: 'back', fraction: 2 },
    { second: -0.6, direction: 'back', fraction: 0.6 },
  ] as const)('with cylinder 2 off by $second after a move of -1 is $direction by $fraction', (row) => {
    const plan = planFor(twin, [0, row.second], [[0, -1]])!;
    expect(plan.direction).toBe(row.direction);
    expect(plan.fraction! / row.fraction).toBeCloseTo(1, 1);
    expect(plan.confidence).toBeGreaterThan(0.95);
  });

  it('takes no leap from a small move', () => {
    expect(planFor(twin, [0, 8], [[0, -0.3]])!.fraction).toBe(6);
  });

  it('asks for less when the last move is hardly known', () => {
    const axes = helmertAxes(2);
    const prior = priorEffect(twin.screws[0]!, axes);
    const change = toSpace(axes, [0, -0.4]);
    const plan = (sd: number) =>
      planNextMove({
        axes,
        z: toSpace(axes, [0, 1]),
        covariance: [[SE_KPA ** 2]],
        reference: 0,
        toleranceKpa: TOLERANCE_KPA,
        effects: [learnedEffect(prior, null, change, [[sd * sd]])],
        kept: null,
      })!;
    expect(plan(0.15).fraction!).toBeLessThan(0.95 * plan(0.01).fraction!);
    expect(plan(0.15).confidence).toBeLessThan(plan(0.01).confidence);
  });
});

describe('the next move on a rack of four', () => {
  const rack = rackOfFour();
  const KNOWN = [
    [-1, 0, 0, 0],
    [0, 0, 0, -1],
    [-1, -1, 0, 0],
  ];

  it('is the one screw that does it alone', () => {
    expect(planFor(rack, [2, 0, 0, 0], KNOWN)).toMatchObject({ screw: 0, direction: 'same' });
    expect(planFor(rack, [0, 0, 0, -2], KNOWN)).toMatchObject({ screw: 1, direction: 'back' });
    expect(planFor(rack, [1, 1, -1, -1], KNOWN)).toMatchObject({ screw: 2, direction: 'same' });
  });

  it('solves for all screws together, as elimination by hand does', () => {
    // Vacuums 3, 1, 0, 0: screw 1 must take cylinder 1 down by 2 to be as 2, the pairs' screw both by 1.
    const plan = planFor(rack, [3, 1, 0, 0], KNOWN)!;
    expect(plan.screw).toBe(0);
    expect(plan.fraction!).toBeCloseTo(2, 1);
    expect(planFor(rack, [1, 1, 0, 0], KNOWN)!.fraction!).toBeCloseTo(1, 1);
  });

  it('leaves alone what is inside anyway', () => {
    const plan = planFor(rack, [0, 0.1, 0.1, 2], KNOWN)!;
    expect(plan.screw).toBe(1);
  });

  it('stays with a screw for as long as another is not clearly better', () => {
    const gaps = [1.4, 0, 0, 1.5];
    expect(planFor(rack, gaps, KNOWN)!.screw).toBe(1);
    expect(planFor(rack, gaps, KNOWN, 0)!.screw).toBe(0);
    expect(planFor(rack, [0.7, 0, 0, 3], KNOWN, 0)!.screw).toBe(1);
  });
});

it('the cylinder with most to do comes first in a set with a base', () => {
  const six = baseAndScrews(6, 0);
  expect(
    planFor(
      six,
      [0, 0.9, -3, 1, 0, 0],
      six.screws.map(() => null),
    )!.screw,
  ).toBe(1);
});
