import { describe, expect, it } from 'vitest';
import { Random } from '../../../../server/practice/random.ts';
import { helmertAxes, toSpace } from '../../../../server/signal/advice/gap-space.ts';
import { dot, identity } from '../../../../server/signal/advice/gaussian.ts';
import { rackOfFour } from '../../../../server/signal/advice/linkage.ts';
import {
  handTurns,
  learnedEffect,
  predictedChanges,
  priorEffect,
  type ScrewEffect,
  unitLengthKpa,
  withoutUnit,
} from '../../../../server/signal/advice/screw-effects.ts';

const AXES = helmertAxes(4);
const PAIR_SCREW = rackOfFour().screws[0]!;
const NOISE_KPA = 0.05;
const NOISE = identity(3, NOISE_KPA ** 2);
const SEED = 21;

/** What a screw does in truth, which is not just what the make of the set tells. */
const TRUE_SHAPE = toSpace(AXES, [-1, 0.12, 0, 0]);
const TRUE_DIRECTION = TRUE_SHAPE.map((value) => value / Math.hypot(...TRUE_SHAPE));

const misalignment = ({ shapes }: ScrewEffect) =>
  Math.sqrt(Math.max(0, 1 - dot(shapes[0]!.direction, TRUE_DIRECTION) ** 2));

describe(`the effect of a screw, seed ${SEED}`, () => {
  it('in units of the last move is the change that the last move made', () => {
    let effect = priorEffect(PAIR_SCREW, AXES);
    const random = new Random(SEED);
    let before = 1;
    for (const size of [1, -2, 0.5, 0.25]) {
      const change = TRUE_DIRECTION.map((value) => size * value + NOISE_KPA * random.normal());
      effect = learnedEffect(effect, effect.unit === null ? null : handTurns(size / before), change, NOISE);
      expect(dot(effect.unit!.mean, TRUE_DIRECTION)).toBeCloseTo(size, 0.7);
      before = size;
    }
    expect(effect.moves).toBe(4);
  });

  it('has a direction that gets better with the moves, down to what is forgotten between them', () => {
    const random = new Random(SEED);
    let effect = priorEffect(PAIR_SCREW, AXES);
    const off = [misalignment(effect)];
    for (let i = 0; i < 12; i++) {
      const size = i % 2 === 0 ? 1 : -1;
      const change = TRUE_DIRECTION.map((value) => size * value + NOISE_KPA * random.normal());
      effect = learnedEffect(effect, i === 0 ? null : handTurns(-1), change, NOISE);
      off.push(misalignment(effect));
    }
    expect(off.at(-1)!).toBeLessThan(0.5 * off[0]!);
    expect(off.at(-1)!).toBeLessThan(0.06);
    const spread = Math.sqrt(effect.shapes[0]!.covariance.reduce((sum, row, axis) => sum + row[axis]!, 0));
    expect(spread).toBeGreaterThan(0.03);
  });

  it('is better known from an asked turn and the change together than from the change alone', () => {
    const first = learnedEffect(priorEffect(PAIR_SCREW, AXES), null, TRUE_DIRECTION, NOISE);
    const quarter = TRUE_DIRECTION.map((value) => value / 4);
    const loud = identity(3, 0.2 ** 2);
    const asked = learnedEffect(first, handTurns(0.25), quarter, loud);
    const unasked = learnedEffect(first, null, quarter, loud);
    expect(unitLengthKpa(asked.unit!).sd).toBeLessThan(0.7 * unitLengthKpa(unasked.unit!).sd);
  });

  it('predicts a turn as asked about as far as the hand is good', () => {
    const effect = learnedEffect(priorEffect(PAIR_SCREW, AXES), null, TRUE_DIRECTION, identity(3, 1e-8));
    const [predicted, ...others] = predictedChanges(effect, handTurns(-2));
    expect(others).toEqual([]);
    expect(dot(predicted!.mean, TRUE_DIRECTION)).toBeCloseTo(-2, 2);
    const along = dot(
      TRUE_DIRECTION,
      predicted!.covariance.map((row) => dot(row, TRUE_DIRECTION)),
    );
    expect(Math.sqrt(along)).toBeCloseTo(0.6, 1);
  });

  it('without a unit keeps its direction, either way round', () => {
    const effect = withoutUnit(learnedEffect(priorEffect(PAIR_SCREW, AXES), null, TRUE_DIRECTION, NOISE));
    expect(effect.unit).toBeNull();
    const predicted = predictedChanges(effect, handTurns(1));
    const sum = predicted.reduce((total, { mean }) => total + dot(mean, TRUE_DIRECTION), 0);
    expect(sum).toBeCloseTo(0, 9);
    expect(predicted.length).toBeGreaterThan(4);
  });

  it('finds out which throttle of the pair its screw moves', () => {
    const second = toSpace(AXES, [0, 1.5, 0, 0]);
    const effect = learnedEffect(priorEffect(PAIR_SCREW, AXES), null, second, NOISE);
    const direction = second.map((value) => value / Math.hypot(...second));
    expect(Math.abs(dot(effect.shapes[0]!.direction, direction))).toBeGreaterThan(0.99);
    expect(effect.shapes).toHaveLength(1);
  });
});
