import { describe, expect, it } from 'vitest';
import type { PracticePatch } from '../../../server/contract/practice.ts';
import { LAYOUTS, layoutById } from '../../../server/practice/layouts.ts';
import { HOSE_MOVE_S, PracticeBench } from '../../../server/practice/practice-bench.ts';
import { applyPatch, panelState, patchRefusal } from '../../../server/practice/practice-panel.ts';

describe('the practice panel', () => {
  it('shows a value for every screw and cylinder of every layout', () => {
    for (const { id, cylinders, balanceScrews } of LAYOUTS) {
      const state = panelState(new PracticeBench({ layout: id, warmUpS: 0 }));
      expect(state.layout).toBe(id);
      expect(state.balanceScrews).toHaveLength(balanceScrews.length);
      for (const column of [state.leakMm, state.tornDiaphragm, state.missedFiring, state.hoseOff]) {
        expect(column).toHaveLength(cylinders);
      }
    }
  });

  it('shows what a patch has set', () => {
    const bench = new PracticeBench({ warmUpS: 1 });
    const patch: PracticePatch = {
      balanceScrewTurns: [0.4],
      idleScrewTurns: 4,
      heldThrottle: 0.1,
      leakMm: [0, 1.5],
      tornDiaphragm: [true, false],
      missedFiring: [0, 0.3],
      hoseOff: [false, true],
      swappedHoses: [1, 2],
    };
    expect(patchRefusal(patch, bench.layout)).toBeNull();
    applyPatch(bench, patch);
    expect(panelState(bench)).toMatchObject({
      balanceScrews: [{ name: 'between 1 and 2', what: 'balance screw', turns: 0.4 }],
      idleScrewTurns: 4,
      heldThrottle: 0.1,
      leakMm: [0, 1.5],
      tornDiaphragm: [true, false],
      missedFiring: [0, 0.3],
      hoseOff: [false, true],
      swappedHoses: [1, 2],
      running: true,
    });
    const frames = bench.advance(0.1);
    expect(frames.at(-1)!.kpa[1]).toBeCloseTo(101.325, 0);
  });

  it('two hoses swapped are on each other’s port, and a fault of a hose stays with the hose', () => {
    const exact = { layout: 'four-inline', fullScaleCounts: null, taps: { noiseKpa: 0, lagS: 0 } };
    const right = new PracticeBench(exact);
    const swapped = new PracticeBench(exact);
    applyPatch(swapped, { swappedHoses: [2, 3] });
    const endS = HOSE_MOVE_S + 1;
    right.advance(endS);
    // Off while they are in the hand.
    expect(
      swapped
        .advance(1)
        .at(-1)!
        .kpa.map((kpa) => kpa > 101),
    ).toEqual([false, true, true, false]);
    swapped.advance(endS);
    const means = (bench: PracticeBench) =>
      [0, 1, 2, 3].map((hose) => bench.truthMeanKpa(hose, endS - 0.5, endS, 'tap'));
    const [one, two, three, four] = means(right);
    for (const [hose, kpa] of means(swapped).entries()) {
      expect(kpa).toBeCloseTo([one!, three!, two!, four!][hose]!, 1);
    }
    expect(Math.abs(two! - three!)).toBeGreaterThan(0.3);
    applyPatch(swapped, { hoseOff: [false, true, false, false] });
    expect(swapped.advance(endS + 0.2).at(-1)!.kpa[1]).toBeCloseTo(101.325, 0);
    applyPatch(swapped, { hoseOff: [false, false, false, false], swappedHoses: null });
    expect(panelState(swapped).swappedHoses).toBeNull();
  });

  it.each<[PracticePatch, RegExp]>([
    [{ layout: 'w-twelve' }, /no engine layout "w-twelve".*twin-180/],
    [{ balanceScrewTurns: [] }, /has 1 balance screw: give one value for each, not 0/],
    [{ balanceScrewTurns: [6] }, /Balance screw 1 can be set from -5 to 5, not to 6/],
    [{ idleScrewTurns: Number.NaN }, /idle screw can be set from -5 to 10/],
    [{ leakMm: [0, 0, 0] }, /has 2 cylinders: give one value for each, not 3/],
    [{ leakMm: [0, -1] }, /Cylinder 2 can be set from 0 to 6/],
    [{ missedFiring: [0, 1.1] }, /Cylinder 2 can be set from 0 to 1/],
    [{ tornDiaphragm: [true] }, /has 2 cylinders/],
    [{ hoseOff: [true] }, /has 2 cylinders/],
    [{ swappedHoses: [1, 3] }, /Two different hoses of 1 to 2 can be swapped, not 1 and 3/],
    [{ swappedHoses: [2, 2] }, /Two different hoses of 1 to 2 can be swapped, not 2 and 2/],
    [{ layout: 'single', swappedHoses: [1, 2] }, /has one hose/],
    [{ layout: 'single', balanceScrewTurns: [1] }, /Single has no balance screws/],
  ])('refuses %j with a sentence', (patch, sentence) => {
    expect(patchRefusal(patch, layoutById('twin-180'))).toMatch(sentence);
  });

  it('measures a patch against the layout that it brings along', () => {
    const patch = { layout: 'four-inline', balanceScrewTurns: [0, 0, 0], leakMm: [0, 0, 0, 0] };
    expect(patchRefusal(patch, layoutById('twin-180'))).toBeNull();
  });
});
