import { describe, expect, it } from 'vitest';
import { swappedHoses } from '../../../server/signal/swapped-hoses.ts';
import type { Engine } from '../../engines/engine-recording.ts';
import type { EngineSpec } from '../../engines/engine-spec.ts';
import { fourierEngine } from '../../engines/fourier-engine.ts';
import { LAYOUTS, type Layout, layoutNamed } from '../../engines/layouts.ts';
import { refillEngine } from '../../engines/refill-engine.ts';
import { playedLive } from './played-live.ts';

const SEED = 61;

function specOf(layout: Layout, more: Partial<EngineSpec> = {}): EngineSpec {
  return {
    seed: SEED,
    durationS: 1.6,
    sampleRateHz: 250,
    strokes: layout.strokes,
    intakeAnglesDeg: layout.intakeAnglesDeg,
    rpm: 1000,
    cycleScatter: 0.01,
    depthScatter: 0.02,
    noiseKpa: 0.1,
    bits: 10,
    ...more,
  };
}

describe.each<[string, Engine]>([
  ['refill', refillEngine],
  ['fourier', fourierEngine],
])(`hoses on the %s engine, seed ${SEED}`, (_, engine) => {
  const namedOn = (layout: Layout, more: Partial<EngineSpec>, told = true) =>
    playedLive(
      engine(specOf(layout, more)),
      told ? { intakeAnglesDeg: layout.intakeAnglesDeg } : {},
    ).reading().swappedHoses;

  it.each(LAYOUTS.filter((layout) => layout.intakeAnglesDeg.length > 1))(
    'in their places on a $name are never called swapped',
    (layout) => {
      expect(namedOn(layout, {})).toBeNull();
    },
  );

  it.each([
    'twin 180-540',
    'twin 270-450',
    'triple 270-180-270',
    'crossplane four 270-180-90-180',
    'V-four 180-270-180-90',
  ])('each pair swapped on a %s is named', (name) => {
    const layout = layoutNamed(name);
    for (const swap of pairs(layout.intakeAnglesDeg.length)) {
      expect([swap, namedOn(layout, { swappedHoses: swap })]).toEqual([swap, [swap]]);
    }
  });

  it.each(['twin 360', 'two-stroke twin 180'])(
    'swapped on an evenly spaced %s cannot be told, and are not',
    (name) => {
      expect(namedOn(layoutNamed(name), { swappedHoses: [0, 1] })).toBeNull();
    },
  );

  it('swapped on an even four are named, the outer and the middle two as ones that cannot be told apart', () => {
    const layout = layoutNamed('four 180');
    for (const swap of pairs(4)) {
      const opposite = swap[0] + swap[1] === 3;
      const possible = opposite
        ? [
            [0, 3],
            [1, 2],
          ]
        : [swap];
      expect([swap, namedOn(layout, { swappedHoses: swap })]).toEqual([swap, possible]);
    }
  });

  it('swapped on an even three can be any two', () => {
    expect(namedOn(layoutNamed('triple 240'), { swappedHoses: [1, 2] })).toEqual(pairs(3));
  });

  it('swapped on an engine whose intake angles nobody entered are not told', () => {
    expect(namedOn(layoutNamed('twin 270-450'), { swappedHoses: [0, 1] }, false)).toBeNull();
  });

  it('swapped with a third one off are still named', () => {
    const layout = layoutNamed('crossplane four 270-180-90-180');
    const faults = [{ channel: 3, fromS: 0, kind: 'off' as const }];
    const named = namedOn(layout, { swappedHoses: [0, 1], faults });
    expect(named).toEqual([[0, 1]]);
  });
});

describe('by the phases alone', () => {
  const expected = [0, 0.375, 0.75, 0.625];

  it('a common offset of all phases means nothing', () => {
    for (const offset of [0, 0.3, 0.95]) {
      const turned = expected.map((phase) => (phase + offset) % 1);
      expect(swappedHoses(turned, expected)).toBeNull();
      expect(swappedHoses([turned[1]!, turned[0]!, turned[2]!, turned[3]!], expected)).toEqual([[0, 1]]);
    }
  });

  it('phases a little off their places are in place; two exchanges, or nonsense, name nobody', () => {
    expect(swappedHoses([0.03, 0.36, 0.77, 0.6], expected)).toBeNull();
    expect(swappedHoses([0.5, 0.1, 0.3, 0.3], expected)).toBeNull();
  });

  it('with one pulse or none there is nothing to compare', () => {
    expect(swappedHoses([0, null, null, null], expected)).toBeNull();
    expect(swappedHoses([null, null, null, null], expected)).toBeNull();
  });
});

function pairs(count: number): [number, number][] {
  const all: [number, number][] = [];
  for (let a = 0; a < count; a++) for (let b = a + 1; b < count; b++) all.push([a, b]);
  return all;
}
