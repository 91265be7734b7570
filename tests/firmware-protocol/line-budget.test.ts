import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { encodeLine } from '../../firmware-protocol/encode-line.ts';
import { linesPerSecond, worstSampleLineBytes } from '../../firmware-protocol/line-budget.ts';

const SEED = 90_125;

describe('line budget', () => {
  test(`no sample line is longer than its worst case, and the worst case occurs (seed ${SEED})`, () => {
    const arbitrary = fc
      .tuple(fc.integer({ min: 1, max: 8 }), fc.integer({ min: 0, max: 16_777_215 }))
      .chain(([channels, highestCount]) =>
        fc.record({
          highestCount: fc.constant(highestCount),
          sequence: fc.integer({ min: 0, max: 65_535 }),
          timeTicks: fc.integer({ min: 0, max: 4_294_967_295 }),
          counts: fc.array(fc.integer({ min: 0, max: highestCount }), {
            minLength: channels,
            maxLength: channels,
          }),
        }),
      );
    fc.assert(
      fc.property(arbitrary, ({ highestCount, sequence, timeTicks, counts }) => {
        const worst = worstSampleLineBytes(counts.length, highestCount);
        expect(encodeLine({ kind: 'sample', sequence, timeTicks, counts }).length).toBeLessThanOrEqual(worst);
        const longest = encodeLine({
          kind: 'sample',
          sequence: 65_535,
          timeTicks: 4_294_967_295,
          counts: counts.map(() => highestCount),
        });
        expect(longest.length).toBe(worst);
      }),
      { seed: SEED },
    );
  });

  test('four channels of 12 bits at 500 lines/s fill less than half of 500000 baud', () => {
    expect(500 / linesPerSecond(4, 4_096, 500_000).full).toBeLessThan(0.5);
  });

  test('refuses what the protocol does not carry', () => {
    expect(() => worstSampleLineBytes(0, 1_023)).toThrow(RangeError);
    expect(() => worstSampleLineBytes(9, 1_023)).toThrow(RangeError);
    expect(() => worstSampleLineBytes(4, 16_777_216)).toThrow(RangeError);
    expect(() => linesPerSecond(4, 1_023, 0)).toThrow(RangeError);
  });
});
