import { describe, expect, it } from 'vitest';
import { oneScrewBetweenTwo, stopsAndCables } from '../../../../server/signal/advice/linkage.ts';
import { balancePoints, pointAt, TwoPoints } from '../../../../server/signal/advice/two-points.ts';

const TERMS = { toleranceKpa: 0.5, raisedToleranceKpa: 0.8, idleTargetRpm: 1000 };

describe('balance points', () => {
  const points = balancePoints(stopsAndCables(2), TERMS);

  it('each has its own adjusters, speeds and tolerance', () => {
    expect(points.map(({ id, screws, toleranceKpa }) => ({ id, screws, toleranceKpa }))).toEqual([
      { id: 'idle', screws: [0, 1], toleranceKpa: 0.5 },
      { id: 'raised', screws: [2, 3], toleranceKpa: 0.8 },
    ]);
  });

  it('a set without cables has one point, at any speed when none is known', () => {
    const [only, ...others] = balancePoints(oneScrewBetweenTwo(), { ...TERMS, idleTargetRpm: null });
    expect(others).toEqual([]);
    expect(pointAt([only!], 4000, null)?.id).toBe('idle');
    const known = balancePoints(oneScrewBetweenTwo(), TERMS);
    expect(pointAt(known, 4000, null)).toBeNull();
  });

  it.each([
    [900, 'idle'],
    [1450, 'idle'],
    [1650, undefined],
    [1900, 'raised'],
    [4000, 'raised'],
    [6000, undefined],
    [null, undefined],
  ])('at %s r/min the engine is at the point %s', (rpm, id) => {
    expect(pointAt(points, rpm, null)?.id).toBe(id);
  });

  it('a speed that wanders over an edge does not leave the point', () => {
    expect(pointAt(points, 1540, 'idle')?.id).toBe('idle');
    expect(pointAt(points, 1540, null)).toBeNull();
    expect(pointAt(points, 1750, 'raised')?.id).toBe('raised');
  });
});

describe('the way through the two points', () => {
  const start = () => new TwoPoints(balancePoints(stopsAndCables(2), TERMS));

  it('ends when both are equal', () => {
    const way = start();
    way.found('idle', true);
    expect(way.next('idle')).toBe('raised');
    way.found('raised', true);
    expect(way.next('raised')).toBeNull();
  });

  it('leads back to idle after a cable was set', () => {
    const way = start();
    way.found('idle', true);
    way.moved('raised');
    way.found('raised', true);
    expect(way.next('raised')).toBe('idle');
    way.found('idle', true);
    expect(way.next('idle')).toBeNull();
  });

  it('does not lead back to the cables after a stop was set', () => {
    const way = start();
    way.found('raised', true);
    way.moved('idle');
    way.found('idle', true);
    expect(way.next('idle')).toBeNull();
  });

  it('a set with one point needs no way', () => {
    const way = new TwoPoints(balancePoints(oneScrewBetweenTwo(), TERMS));
    expect(way.next('idle')).toBeNull();
  });
});
