import { describe, expect, it } from 'vitest';
import { LAYOUTS, layoutById } from '../../../server/practice/layouts.ts';

/** The same ring of intervals may be written down from any cylinder on. */
function sameRing(actual: readonly number[], expected: readonly number[]): boolean {
  return expected.some((_, shift) =>
    expected.every((_, at) => actual[(at + shift) % actual.length] === expected[at]),
  );
}

describe('LAYOUTS', () => {
  // Firing intervals: the table in "Big-bang firing order" as copied at cryer.org.uk for twins and V-twins of
  // 60, 75 and 90 degrees; 45 degrees: 360 ∓ V. Triple, crossplane four, V4, six and eight: common practice, no source.
  // 52 degrees with offset pins: 360 ∓ 128 by geometry, no source.
  it.each([
    ['single', [720]],
    ['twin-360', [360, 360]],
    ['twin-180', [180, 540]],
    ['twin-270', [270, 450]],
    ['twin-180-cables', [180, 540]],
    ['v-twin-45', [315, 405]],
    ['v-twin-52-offset', [232, 488]],
    ['v-twin-60', [300, 420]],
    ['v-twin-75', [285, 435]],
    ['v-twin-90', [270, 450]],
    ['triple-120', [240, 240, 240]],
    ['four-inline', [180, 180, 180, 180]],
    ['four-crossplane', [270, 180, 90, 180]],
    ['v-four-180', [180, 270, 180, 90]],
    ['v-four-360', [90, 270, 90, 270]],
    ['flat-six', [120, 120, 120, 120, 120, 120]],
    ['v-eight', [90, 90, 90, 90, 90, 90, 90, 90]],
  ])('%s fires at intervals of %j degrees', (id, expected) => {
    const angles = [...layoutById(id).intakeAnglesDeg].sort((a, b) => a - b);
    const intervals = angles.map((angle, at) => (angles[at + 1] ?? 720 + angles[0]!) - angle);
    expect(intervals.reduce((sum, interval) => sum + interval, 0)).toBe(720);
    expect(intervals).toHaveLength(expected.length);
    expect(sameRing(intervals, expected), `found ${intervals}`).toBe(true);
  });

  it('lists no layout that the table above does not have', () => expect(LAYOUTS).toHaveLength(17));

  // Firing orders of common practice, no source.
  it.each([
    ['triple-120', [1, 3, 2]],
    ['four-inline', [1, 2, 4, 3]],
    ['v-eight', [1, 8, 4, 3, 6, 5, 7, 2]],
  ])('%s fires in the order %j', (id, order) => {
    const angles = layoutById(id).intakeAnglesDeg;
    const found = angles.map((_, cyl) => cyl + 1).sort((a, b) => angles[a - 1]! - angles[b - 1]!);
    expect(found).toEqual(order);
  });

  it.each(LAYOUTS)(
    '$id can be balanced: screws and idle screw together reach every set of openings',
    (layout) => {
      expect(layout.intakeAnglesDeg).toHaveLength(layout.cylinders);
      expect(layout.mismatchTurns).toHaveLength(layout.cylinders);
      const cables = layout.balanceScrews.filter(({ what }) => what === 'cable adjuster');
      const atIdle = layout.balanceScrews.filter(({ what }) => what !== 'cable adjuster');
      const hasCables = layout.cableMismatchTurns !== undefined;
      expect(cables).toHaveLength(hasCables ? layout.cylinders : 0);
      expect(layout.cableMismatchTurns ?? cables).toHaveLength(cables.length);
      // With a stop screw for each throttle they set the idle speed too.
      expect(atIdle).toHaveLength(hasCables ? layout.cylinders : layout.cylinders - 1);
      const rows = [...atIdle.map(({ opens }) => [...opens]), new Array<number>(layout.cylinders).fill(1)];
      expect(rank(rows)).toBe(layout.cylinders);
      if (hasCables) expect(rank(cables.map(({ opens }) => [...opens]))).toBe(layout.cylinders);
    },
  );

  it('links a twin by one screw, a four by two pair screws and one between the pairs', () => {
    expect(layoutById('twin-180').balanceScrews.map(({ opens }) => opens)).toEqual([[0, 1]]);
    expect(layoutById('four-inline').balanceScrews.map(({ opens }) => opens)).toEqual([
      [1, 0, 0, 0],
      [0, 0, 0, 1],
      [1, 1, 0, 0],
    ]);
  });

  it('refuses an unknown id and names the known ones', () => {
    expect(() => layoutById('w-twelve')).toThrow(/twin-180/);
  });
});

function rank(matrix: number[][]): number {
  const rows = matrix.map((row) => [...row]);
  let found = 0;
  for (let column = 0; column < rows[0]!.length; column++) {
    const pivot = rows.findIndex((row, at) => at >= found && Math.abs(row[column]!) > 1e-9);
    if (pivot < 0) continue;
    [rows[found], rows[pivot]] = [rows[pivot]!, rows[found]!];
    for (let at = found + 1; at < rows.length; at++) {
      const factor = rows[at]![column]! / rows[found]![column]!;
      rows[at] = rows[at]!.map((value, place) => value - factor * rows[found]![place]!);
    }
    found++;
  }
  return found;
}
