import { describe, expect, it } from 'vitest';
import { type Balance, helmertAxes, toSpace } from '../../../../server/signal/advice/gap-space.ts';
import { identity } from '../../../../server/signal/advice/gaussian.ts';
import {
  type Linkage,
  oneScrewBetweenTwo,
  rackOfFour,
  stopsAndCables,
} from '../../../../server/signal/advice/linkage.ts';
import { type Asked, attributeMove } from '../../../../server/signal/advice/move-attribution.ts';
import type { Move } from '../../../../server/signal/advice/move-detector.ts';
import { handTurns, learnedEffect, priorEffect } from '../../../../server/signal/advice/screw-effects.ts';

const NOTHING_ASKED: Asked = { screw: null, turn: null, idleSpeed: false };
const SE_KPA = 0.04;

function moveOf(before: readonly number[], after: readonly number[], speedRatio: number | null = 1): Move {
  const axes = helmertAxes(before.length);
  const at = (gaps: readonly number[]): Balance => ({
    timeS: 0,
    cycles: 40,
    z: toSpace(axes, gaps),
    covariance: identity(before.length - 1, SE_KPA ** 2),
    speed: { rpm: 1100, steadyRpm: 1100 },
  });
  const [from, to] = [at(before), at(after)];
  return {
    before: from,
    after: to,
    change: to.z.map((value, axis) => value - from.z[axis]!),
    covariance: identity(before.length - 1, 2 * SE_KPA ** 2),
    logSpeedRatio: speedRatio === null ? null : Math.log(speedRatio),
  };
}

function effectsOf(linkage: Linkage) {
  const axes = helmertAxes(linkage.cylinders);
  return linkage.screws.filter(({ point }) => point === 'idle').map((screw) => priorEffect(screw, axes));
}

describe('which screw of a rack of four was turned', () => {
  const effects = effectsOf(rackOfFour());
  const before = [1, -2, 0.5, 0.5];

  it.each([
    ['1 and 2, on cylinder 1', [-1.5, 0, 0, 0], 0],
    ['1 and 2, on cylinder 2', [0, 1.5, 0, 0], 0],
    ['3 and 4', [0, 0, 0, 1], 1],
    ['the pairs', [1, 1, 0, 0], 2],
    ['the pairs, by their other half', [0, 0, -0.8, -0.8], 2],
    ['1 and 2, nearly', [-1.5, -0.15, 0.1, 0.1], 0],
  ])('that between %s', (_, shift, screw) => {
    const move = moveOf(
      before,
      before.map((gap, cyl) => gap + shift[cyl]!),
      null,
    );
    const { cause, probability } = attributeMove(move, effects, NOTHING_ASKED);
    expect(cause).toMatchObject({ kind: 'screw', screw });
    expect(probability).toBeGreaterThan(0.8);
  });

  it('cannot be told when two were turned at once', () => {
    const move = moveOf(before, [before[0]! - 1.5, before[1]!, before[2]!, before[3]! + 1.4]);
    expect(attributeMove(move, effects, NOTHING_ASKED).cause.kind).toBe('cannot-tell');
  });

  it('is doubted no more than is reasonable when another was asked for', () => {
    const move = moveOf(before, [before[0]! - 1.5, ...before.slice(1)]);
    const asked: Asked = { screw: 2, turn: null, idleSpeed: false };
    expect(attributeMove(move, effects, asked).cause).toMatchObject({ kind: 'screw', screw: 0 });
  });
});

describe('on a twin', () => {
  const effects = effectsOf(oneScrewBetweenTwo());

  it('a change of the gap alone is the screw', () => {
    expect(attributeMove(moveOf([2, -2], [1, -1], 1.02), effects, NOTHING_ASKED).cause.kind).toBe('screw');
  });

  it('gaps that shrink a little while the speed rises much are the throttle', () => {
    const move = moveOf([2, -2], [1.75, -1.75], 1.12);
    expect(attributeMove(move, effects, { ...NOTHING_ASKED, idleSpeed: true }).cause.kind).toBe('common');
    expect(attributeMove(moveOf([2, -2], [2, -2], 1.12), effects, NOTHING_ASKED).cause.kind).toBe('common');
  });

  it('no change to speak of is nothing', () => {
    const move = moveOf([2, -2], [2.01, -2.01], 1.003);
    expect(attributeMove(move, effects, NOTHING_ASKED).cause.kind).toBe('nothing');
  });

  it('a turn as asked is told from one that is not', () => {
    const axes = helmertAxes(2);
    const unit = toSpace(axes, [0.5, -0.5]);
    const known = [learnedEffect(effects[0]!, null, unit, [[SE_KPA ** 2]])];
    const asked: Asked = { screw: 0, turn: handTurns(-2), idleSpeed: false };
    const followed = attributeMove(moveOf([2, -2], [1.1, -1.1]), known, asked).cause;
    const otherwise = attributeMove(moveOf([2, -2], [2.9, -2.9]), known, asked).cause;
    expect(followed).toMatchObject({ kind: 'screw', turn: asked.turn });
    expect(otherwise).toMatchObject({ kind: 'screw', turn: null });
  });
});

it('of two stop screws that shift the gap alike, the speed tells which', () => {
  const effects = effectsOf(stopsAndCables(2));
  // Cylinder 1 pulls less against 2: its throttle was opened, which speeds the engine up, or the other's closed.
  const opened = attributeMove(moveOf([1, -1], [-1.5, 1.5], 1.06), effects, NOTHING_ASKED).screws;
  const closed = attributeMove(moveOf([1, -1], [-1.5, 1.5], 0.94), effects, NOTHING_ASKED).screws;
  expect(opened[0]!).toBeGreaterThan(3 * opened[1]!);
  expect(closed[1]!).toBeGreaterThan(3 * closed[0]!);
});
