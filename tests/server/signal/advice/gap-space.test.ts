import { describe, expect, it } from 'vitest';
import {
  balanceOf,
  fromSpace,
  gapsOf,
  helmertAxes,
  toSpace,
  worstGapKpa,
} from '../../../../server/signal/advice/gap-space.ts';
import { readingOf } from './reading-of.ts';

const NO_SPEED = { rpm: null, steadyRpm: null };
const dot = (a: readonly number[], b: readonly number[]) => a.reduce((sum, x, i) => sum + x * b[i]!, 0);

describe('the gap space', () => {
  it.each([2, 3, 4, 8])('has orthonormal axes that leave out what is common to all %i', (cylinders) => {
    const axes = helmertAxes(cylinders);
    expect(axes).toHaveLength(cylinders - 1);
    for (const [i, a] of axes.entries()) {
      expect(dot(a, new Array(cylinders).fill(1))).toBeCloseTo(0, 12);
      for (const [j, b] of axes.entries()) expect(dot(a, b)).toBeCloseTo(i === j ? 1 : 0, 12);
    }
  });

  it('gives back the differences to the mean', () => {
    const axes = helmertAxes(4);
    const back = fromSpace(axes, toSpace(axes, [31, 33, 35, 41]));
    expect(back.map((value) => Number(value.toFixed(9)))).toEqual([-4, -2, 0, 6]);
  });

  it('measures the worst gap to whichever reference', () => {
    const axes = helmertAxes(3);
    const z = toSpace(axes, [30, 32, 37]);
    expect(worstGapKpa(axes, z, 'mean')).toBeCloseTo(4, 9);
    expect(worstGapKpa(axes, z, 0)).toBeCloseTo(7, 9);
    expect(worstGapKpa(axes, z, 1)).toBeCloseTo(5, 9);
  });
});

describe('the balance of a reading', () => {
  const vacuums = [40, 43, 42.5, 38];
  const mean = vacuums.reduce((a, b) => a + b) / 4;

  it('is the same whichever cylinder the gaps are taken to', () => {
    const axes = helmertAxes(4);
    const at = (reference: number | 'mean') => {
      const zero = reference === 'mean' ? mean : vacuums[reference]!;
      const expanded = vacuums.map((_, cyl) => (cyl === reference ? 0 : 0.2));
      const gapsKpa = vacuums.map((vacuum) => vacuum - zero);
      return balanceOf(
        readingOf({ timeS: 1, gapsKpa, expandedKpa: expanded }),
        axes,
        reference,
        [],
        NO_SPEED,
      )!;
    };
    for (const reference of [0, 3] as const) {
      at(reference).z.forEach((value, axis) => {
        expect(value).toBeCloseTo(at('mean').z[axis]!, 9);
      });
    }
  });

  it('has the uncertainty of the gaps that it came from', () => {
    const axes = helmertAxes(4);
    // Independent cylinders of these variances: differences to the mean of all vary by (1 - 2/n) d + Σd / n².
    const own = [0.04, 0.01, 0.02, 0.09];
    const sum = own.reduce((a, b) => a + b);
    const toMean = own.map((d) => 2 * Math.sqrt((1 - 2 / 4) * d + sum / 16));
    const balance = balanceOf(
      readingOf({ timeS: 1, gapsKpa: [0, 0, 0, 0], expandedKpa: toMean }),
      axes,
      'mean',
      [],
      NO_SPEED,
    )!;
    for (const [cyl, { expandedKpa }] of gapsOf(axes, balance, 'mean', []).entries())
      expect(expandedKpa).toBeCloseTo(toMean[cyl]!, 2);
    const difference = gapsOf(axes, balance, 0, [])[3]!.expandedKpa;
    expect(difference).toBeCloseTo(2 * Math.sqrt(own[0]! + own[3]!), 2);
  });

  it('leaves out what the calibration adds, and has it back for a gap', () => {
    const axes = helmertAxes(2);
    const calibration = [0, 0.3];
    const reading = readingOf({ timeS: 1, gapsKpa: [0, 1], expandedKpa: [0, 2 * Math.hypot(0.1, 0.3)] });
    const balance = balanceOf(reading, axes, 0, calibration, NO_SPEED)!;
    const without = gapsOf(axes, balance, 0, [])[1]!;
    expect(without.expandedKpa).toBeCloseTo(0.2, 1);
    expect(gapsOf(axes, balance, 0, calibration)[1]!.expandedKpa).toBeCloseTo(2 * Math.hypot(0.1, 0.3), 1);
  });

  it('is null when a gap is not known, or cylinders are others', () => {
    const axes = helmertAxes(2);
    expect(balanceOf(readingOf({ timeS: 1, gapsKpa: [0, null] }), axes, 0, [], NO_SPEED)).toBeNull();
    expect(balanceOf(readingOf({ timeS: 1, gapsKpa: [0, 1, 2] }), axes, 0, [], NO_SPEED)).toBeNull();
  });
});
