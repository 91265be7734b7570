import { describe, expect, it } from 'vitest';
import {
  baseAndScrews,
  type Linkage,
  MAX_SCREW_NAME_LENGTH,
  oneScrewBetweenTwo,
  ownLinkage,
  rackOfFour,
  stopsAndCables,
  usualLinkage,
} from '../../../../server/signal/advice/linkage.ts';
import { chosenLinkage } from '../../../../server/signal/advice/linkage-choice.ts';

const shapesOf = ({ screws }: Linkage) => screws.map(({ vacuumShape }) => vacuumShape);

/** Rank by elimination: how many of the gaps the screws can set independently of each other. */
function gapRank(linkage: Linkage): number {
  const rows = shapesOf(linkage).map((shape) => {
    const mean = shape.reduce((sum, value) => sum + value, 0) / shape.length;
    return shape.map((value) => value - mean);
  });
  let rank = 0;
  for (let column = 0; column < linkage.cylinders; column++) {
    const pivot = rows.findIndex((row, at) => at >= rank && Math.abs(row[column]!) > 1e-9);
    if (pivot < 0) continue;
    [rows[rank], rows[pivot]] = [rows[pivot]!, rows[rank]!];
    for (let at = rank + 1; at < rows.length; at++) {
      const factor = rows[at]![column]! / rows[rank]![column]!;
      rows[at] = rows[at]!.map((value, j) => value - factor * rows[rank]![j]!);
    }
    rank++;
  }
  return rank;
}

describe('linkages', () => {
  it('every make can set every gap: as many independent screws as cylinders, less one', () => {
    const makes = [
      oneScrewBetweenTwo(),
      rackOfFour(),
      ...[2, 3, 4, 5, 6, 7, 8].map((cylinders) => baseAndScrews(cylinders, 1)),
      ...[2, 3, 4, 5, 6, 7, 8].map(usualLinkage),
      ...[2, 3, 4, 8].map(stopsAndCables),
    ];
    for (const linkage of makes) expect(gapRank(linkage)).toBe(linkage.cylinders - 1);
  });

  it('each screw of a make has a name of its own that fits after "turn"', () => {
    for (const linkage of [rackOfFour(), baseAndScrews(6, 2), stopsAndCables(3)]) {
      const names = linkage.screws.map(({ name }) => name);
      expect(new Set(names).size).toBe(names.length);
      for (const name of names) expect(name).toMatch(/^the [a-z ]+( \d( and \d)?)?$/);
    }
  });

  it('the base cylinder has no screw, and must be one of the cylinders', () => {
    expect(shapesOf(baseAndScrews(3, 1))).toEqual([
      [-1, 0, 0],
      [0, 0, -1],
    ]);
    expect(() => baseAndScrews(3, 3)).toThrow(RangeError);
    expect(() => baseAndScrews(3, -1)).toThrow(RangeError);
  });

  it('stop screws work at idle, cables at a raised speed', () => {
    const points = stopsAndCables(2).screws.map(({ name, point }) => [name.includes('cable'), point]);
    expect(points).toEqual([
      [false, 'idle'],
      [false, 'idle'],
      [true, 'raised'],
      [true, 'raised'],
    ]);
  });

  it('a single cylinder has nothing to balance', () => {
    expect(usualLinkage(1).screws).toEqual([]);
  });
});

describe('the choice of a linkage', () => {
  it('gives the linkage of every choice that fits, and none of the others', () => {
    const fitting = (cylinders: number) =>
      (['one-screw', 'rack-of-four', 'base-and-screws', 'stops-and-cables', 'none'] as const).filter(
        (kind) => chosenLinkage(kind, cylinders) !== null,
      );
    expect(fitting(1)).toEqual(['none']);
    expect(fitting(2)).toEqual(['one-screw', 'base-and-screws', 'stops-and-cables', 'none']);
    expect(fitting(3)).toEqual(['base-and-screws', 'stops-and-cables', 'none']);
    expect(fitting(4)).toEqual(['rack-of-four', 'base-and-screws', 'stops-and-cables', 'none']);
    for (const cylinders of [1, 2, 3, 4, 8]) {
      expect(usualLinkage(cylinders).kind).toBe(fitting(cylinders)[0]);
      for (const kind of fitting(cylinders))
        expect(chosenLinkage(kind, cylinders)).toMatchObject({ kind, cylinders });
    }
    expect(chosenLinkage('rack-of-four', 3)).toBeNull();
    expect(chosenLinkage('base-and-screws', 3, 3)).toBeNull();
    expect(chosenLinkage('base-and-screws', 3, 2)).toEqual(baseAndScrews(3, 2));
    expect(() => chosenLinkage('none', 9)).toThrow(RangeError);
  });
});

describe("a person's own linkage", () => {
  it('is taken as described, with an article for the sentence', () => {
    const own = ownLinkage(2, [{ name: ' left stop ', shape: [-1, 0] }]);
    expect(own).toEqual({
      ok: true,
      linkage: {
        kind: 'own-matrix',
        cylinders: 2,
        screws: [{ name: 'the left stop', point: 'idle', vacuumShape: [-1, 0] }],
      },
    });
    expect(ownLinkage(2, [{ name: 'the one', shape: [0, 1] }])).toMatchObject({
      linkage: { screws: [{ name: 'the one' }] },
    });
  });

  it.each([
    ['one cylinder', 1, [], /2 to 8 cylinders/],
    ['nine cylinders', 9, [], /2 to 8 cylinders/],
    ['an empty name', 2, [{ name: '  ', shape: [0, 1] }], /screw 1 a name/],
    [
      'a name too long',
      2,
      [{ name: 'x'.repeat(MAX_SCREW_NAME_LENGTH + 1), shape: [0, 1] }],
      /a name of 1 to/,
    ],
    [
      'a name twice',
      2,
      [
        { name: 'a', shape: [0, 1] },
        { name: 'a', shape: [1, 0] },
      ],
      /"a" stands twice/,
    ],
    ['a row too short', 3, [{ name: 'a', shape: [0, 1] }], /one figure for each of the 3/],
    ['a figure that is none', 2, [{ name: 'a', shape: [0, Number.NaN] }], /one figure for each/],
    ['a screw for all', 2, [{ name: 'a', shape: [1, 1] }], /moves all cylinders alike/],
    [
      'nine screws',
      2,
      Array.from({ length: 9 }, (_, i) => ({ name: `s${i}`, shape: [0, 1] })),
      /8 screws or fewer/,
    ],
  ])('is refused with a reason: %s', (_, cylinders, screws, reason) => {
    const outcome = ownLinkage(cylinders, screws);
    expect(outcome.ok).toBe(false);
    if (!outcome.ok) expect(outcome.reason).toMatch(reason);
  });
});
