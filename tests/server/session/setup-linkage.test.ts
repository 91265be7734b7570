import Schema from 'typebox/schema';
import { expect, it } from 'vitest';
import { SetupPatch } from '../../../server/contract/http.ts';
import { type LinkageSetup, Setup } from '../../../server/contract/setup.ts';
import { LAYOUTS } from '../../../server/practice/layouts.ts';
import { changeSetup, DEFAULT_SETUP, type SetupFacts } from '../../../server/session/setup-change.ts';
import { linkageOf, linkageRefusal } from '../../../server/session/setup-linkage.ts';

const FACTS: SetupFacts = { boardBarometricKpa: null, keyOffKpa: null, captureRunning: false };

function change(patch: SetupPatch, setup = DEFAULT_SETUP) {
  expect(Schema.Check(SetupPatch, patch)).toBe(true);
  return changeSetup(setup, patch, FACTS);
}

it.each(LAYOUTS)(
  'the screws of the practice engine $id are those of the linkage that it has, by name and by what they move',
  ({ cylinders, balanceScrews, cableMismatchTurns }) => {
    const linkage: LinkageSetup = { kind: cableMismatchTurns === undefined ? 'usual' : 'stops-and-cables' };
    const { screws } = linkageOf({ ...DEFAULT_SETUP, cylinders, linkage }, cylinders);
    expect(screws.map(({ name }) => name)).toEqual(
      balanceScrews.map(({ name, what }) => `the ${what === 'balance screw' ? 'screw' : what} ${name}`),
    );
    expect(screws.map(({ point }) => point === 'raised')).toEqual(
      balanceScrews.map(({ what }) => what === 'cable adjuster'),
    );
    for (const [at, { opens }] of balanceScrews.entries()) {
      const shapes = [screws[at]!.vacuumShape, ...(screws[at]!.otherShapes ?? [])];
      expect(shapes.map((shape) => shape.map((value) => Math.abs(value)))).toContainEqual(opens);
    }
  },
);

it.each<[string, number, LinkageSetup, RegExp]>([
  ['a rack of four on a twin', 2, { kind: 'rack-of-four' }, /four cylinders, not 2/],
  ['one screw on a four', 4, { kind: 'one-screw' }, /two cylinders, not 4/],
  ['a base that is not there', 3, { kind: 'base-and-screws', base: 5 }, /from 1 to 3/],
  ['screws on a single', 1, { kind: 'stops-and-cables' }, /nothing to balance/],
  [
    'a screw without a name',
    2,
    { kind: 'own-matrix', screws: [{ name: ' ', opens: [1, 0] }] },
    /Give screw 1 a name/,
  ],
  [
    'a screw with too few effects',
    3,
    { kind: 'own-matrix', screws: [{ name: 'left', opens: [1, 0] }] },
    /one figure for each of the 3/,
  ],
  [
    'a screw that moves all alike',
    2,
    { kind: 'own-matrix', screws: [{ name: 'left', opens: [1, 1] }] },
    /cannot balance/,
  ],
])('%s is refused with a sentence', (_, cylinders, linkage, words) => {
  const changed = change({ cylinders, linkage });
  expect(changed).toMatchObject({ ok: false, code: 'bad-request', detail: expect.stringMatching(words) });
  expect(linkageRefusal(linkage, cylinders)).toMatch(/\.$/);
});

it('an own set of screws says what each does to the vacuum: an opened throttle pulls less', () => {
  const screws = [{ name: 'left link', opens: [1, 0, -0.5] }];
  const changed = change({ cylinders: 3, linkage: { kind: 'own-matrix', screws } });
  expect(changed.ok && Schema.Check(Setup, changed.value)).toBe(true);
  expect(changed.ok && linkageOf(changed.value, 3).screws).toEqual([
    { name: 'the left link', point: 'idle', vacuumShape: [-1, 0, 0.5] },
  ]);
});

it('another number of cylinders brings the usual linkage back where the chosen one no longer fits', () => {
  const four = change({ linkage: { kind: 'rack-of-four' } });
  const three = four.ok ? change({ cylinders: 3 }, four.value) : four;
  expect(three).toMatchObject({ ok: true, value: { linkage: { kind: 'usual' } } });
  const cables = change({ linkage: { kind: 'stops-and-cables' } });
  const kept = cables.ok ? change({ cylinders: 3 }, cables.value) : cables;
  expect(kept).toMatchObject({ ok: true, value: { linkage: { kind: 'stops-and-cables' } } });
});

it('a raised speed so low that the throttles may still rest on their stops is refused', () => {
  expect(change({ idleTargetRpm: 1100, raisedTargetRpm: 2000 })).toMatchObject({
    ok: false,
    detail: expect.stringContaining('at least twice the idle speed of 1100'),
  });
  expect(change({ idleTargetRpm: 1100, raisedTargetRpm: 3000 }).ok).toBe(true);
});
