import Schema from 'typebox/schema';
import { describe, expect, it } from 'vitest';
import { FIRING_LAYOUTS, firingAngles } from '../../../server/contract/firing-angles.ts';
import type { SetupPatch } from '../../../server/contract/http.ts';
import { type FiringSetup, Setup } from '../../../server/contract/setup.ts';
import {
  changeSetup,
  DEFAULT_SETUP,
  engineSetup,
  type SetupFacts,
} from '../../../server/session/setup-change.ts';
import { layoutNamed } from '../../engines/layouts.ts';

const FACTS: SetupFacts = { boardBarometricKpa: null, keyOffKpa: null, captureRunning: false };
const FOUR = { ...DEFAULT_SETUP, cylinders: 4 };
const TWIN = { ...DEFAULT_SETUP, cylinders: 2 };

const change = (setup: Setup, patch: SetupPatch) => changeSetup(setup, patch, FACTS);

/** The angles of the choice for an engine of the cylinders that it is made for. */
function anglesOf(firing: FiringSetup, cylinders: number, strokes: 4 | 2 = 4) {
  expect(Schema.Check(Setup, { ...DEFAULT_SETUP, cylinders, strokes, firing })).toBe(true);
  const angles = firingAngles(firing, cylinders, strokes);
  return angles.ok ? angles.anglesDeg : angles.reason;
}

describe('the angles of a choice', () => {
  // Twins: published firing intervals, see the engines' own list.
  it.each<[FiringSetup, string]>([
    [{ kind: 'twin-360-360' }, 'twin 360'],
    [{ kind: 'flat-twin' }, 'twin 360'],
    [{ kind: 'twin-180-540' }, 'twin 180-540'],
    [{ kind: 'twin-270-450' }, 'twin 270-450'],
    [{ kind: 'v-twin', vAngleDeg: 60, second: 'sooner' }, 'V-twin 300-420'],
    [{ kind: 'v-twin', vAngleDeg: 45, second: 'sooner' }, 'V-twin 315-405'],
    [{ kind: 'three-1-2-3' }, 'triple 240'],
    [{ kind: 'four-1-2-4-3' }, 'four 180'],
    [{ kind: 'own', order: [1, 2, 3, 4], gapsDeg: [180, 270, 180, 90] }, 'V-four 180-270-180-90'],
    [{ kind: 'own', order: [1, 2, 3, 4], gapsDeg: [90, 270, 90, 270] }, 'V-four 90-270-90-270'],
    [{ kind: 'own', order: [1, 2, 5, 3, 4], gapsDeg: [144, 144, 144, 144, 144] }, 'five 144'],
  ])('%o are those of the engine "%s"', (firing, name) => {
    const { intakeAnglesDeg } = layoutNamed(name);
    expect(anglesOf(firing, intakeAnglesDeg.length)).toEqual(intakeAnglesDeg);
  });

  it('of a two-stroke add up to one turn of the crank', () => {
    const { intakeAnglesDeg } = layoutNamed('two-stroke triple 120');
    expect(anglesOf({ kind: 'own', order: [1, 2, 3], gapsDeg: [120, 120, 120] }, 3, 2)).toEqual(
      intakeAnglesDeg,
    );
  });

  it.each<[FiringSetup, FiringSetup]>([
    [{ kind: 'twin-540-180' }, { kind: 'twin-180-540' }],
    [{ kind: 'twin-450-270' }, { kind: 'twin-270-450' }],
    [
      { kind: 'v-twin', vAngleDeg: 90, second: 'later' },
      { kind: 'v-twin', vAngleDeg: 90, second: 'sooner' },
    ],
    [{ kind: 'three-1-3-2' }, { kind: 'three-1-2-3' }],
    [{ kind: 'four-1-3-4-2' }, { kind: 'four-1-2-4-3' }],
  ])('%o is the same engine as %o, turned the other way', (one, other) => {
    const cylinders = one.kind.startsWith('three') ? 3 : one.kind.startsWith('four') ? 4 : 2;
    const turned = (anglesOf(one, cylinders) as readonly number[]).map((angle) => (720 - angle) % 720);
    expect(turned).toEqual(anglesOf(other, cylinders));
  });

  it('count from cylinder 1, wherever the order begins', () => {
    const begun = anglesOf({ kind: 'own', order: [3, 2, 4, 1], gapsDeg: [180, 90, 180, 270] }, 4);
    expect(begun).toEqual(anglesOf({ kind: 'four-crossplane' }, 4));
    expect(begun).toEqual([0, 450, 270, 540]);
  });

  it('lie within one cycle and begin with 0 for every choice', () => {
    for (const kind of FIRING_LAYOUTS) {
      const cylinders = kind.startsWith('three') ? 3 : kind.startsWith('four') ? 4 : 2;
      const angles = anglesOf({ kind }, cylinders) as readonly number[];
      expect(angles[0]).toBe(0);
      for (const angle of angles) expect(angle >= 0 && angle < 720).toBe(true);
    }
  });
});

it.each<[FiringSetup, RegExp]>([
  [{ kind: 'own', order: [1, 2, 2, 4], gapsDeg: [180, 180, 180, 180] }, /each cylinder from 1 to 4 once/],
  [{ kind: 'own', order: [1, 2, 4], gapsDeg: [240, 240, 240] }, /each cylinder from 1 to 4 once/],
  [{ kind: 'own', order: [1, 2, 4, 3], gapsDeg: [180, 540] }, /4 gaps/],
  [{ kind: 'own', order: [1, 2, 4, 3], gapsDeg: [180, 180, 180, 160] }, /make 700° together.*720°/],
  [{ kind: 'three-1-2-3' }, /3 cylinders, not of 4/],
])('what cannot be is refused in a sentence: %o', (firing, sentence) => {
  const changed = change(FOUR, { firing });
  expect(changed).toMatchObject({ ok: false, code: 'bad-request' });
  expect(!changed.ok && changed.detail).toMatch(sentence);
});

it('what an engine was said to fire like is not known any more of another engine', () => {
  const told = change(TWIN, { firing: { kind: 'twin-270-450' } });
  if (!told.ok) throw new Error('refused');
  expect(engineSetup(told.value, 2).intakeAnglesDeg).toEqual([0, 270]);
  for (const patch of [{ cylinders: 3 }, { strokes: 2 as const }]) {
    const other = change(told.value, patch);
    if (!other.ok) throw new Error('refused');
    expect(other.value.firing).toEqual({ kind: 'not-known' });
    expect(engineSetup(other.value, 4).intakeAnglesDeg).toBeNull();
  }
});

it('only cylinders with a channel have an angle, and a set-up from before there was a choice has none', () => {
  const four = { ...FOUR, firing: { kind: 'four-1-3-4-2' as const } };
  expect(engineSetup(four, 3).intakeAnglesDeg).toEqual([0, 540, 180]);
  const { firing: _firing, ...old } = four;
  expect(Schema.Check(Setup, old)).toBe(true);
  expect(engineSetup(old, 4).intakeAnglesDeg).toBeNull();
});
