import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { SampleSequence, sequenceDifference, timeDifferenceTicks } from '../../firmware-protocol/sequence.ts';

const SEED = 3_771_204;
const TICKS_PER_SAMPLE = 4_000;
const TICKS = 2 ** 32;

/** The n-th sample since power-up as the wire shows it. */
function wire(index: number, ticksPerSample = TICKS_PER_SAMPLE) {
  return { sequence: index % 65_536, timeTicks: (index * ticksPerSample) % TICKS };
}

function orders(indexes: readonly number[]): string[] {
  const sequence = new SampleSequence(TICKS_PER_SAMPLE);
  return indexes.map((index) => sequence.place(wire(index)).order);
}

describe('differences', () => {
  test.each([
    [0, 1, 1],
    [65_535, 0, 1],
    [0, 65_535, -1],
    [65_000, 100, 636],
    [0, 32_767, 32_767],
    [0, 32_768, -32_768],
    [5, 5, 0],
  ])('from sequence %i to %i is %i', (from, to, difference) => {
    expect(sequenceDifference(from, to)).toBe(difference);
  });

  test('of times go across the wrap of 32 bits', () => {
    expect(timeDifferenceTicks(4_294_967_290, 10)).toBe(16);
    expect(timeDifferenceTicks(10, 4_294_967_290)).toBe(-16);
    expect(timeDifferenceTicks(0, 2 ** 31)).toBe(-(2 ** 31));
  });
});

describe(`order of samples (seed ${SEED})`, () => {
  test('samples that follow each other are next, across the wrap of sequence and of time', () => {
    const sequence = new SampleSequence(TICKS_PER_SAMPLE);
    const start = 1_073_700; // 42 samples before 2^32 ticks
    sequence.place(wire(start));
    const first = wire(start);
    for (let index = start + 1; index < start + 70_000; index++) {
      const placed = sequence.place(wire(index));
      expect(placed.order).toBe('next');
      expect(placed.index - first.sequence).toBe(index - start);
      expect(placed.timeTicks - first.timeTicks).toBe((index - start) * TICKS_PER_SAMPLE);
      expect(placed.epoch).toBe(0);
    }
  });

  test('missing samples are counted, also when more are missing than the sequence number can count', () => {
    for (const missing of [1, 10, 32_767, 32_768, 65_535, 65_536, 100_000, 500_000]) {
      const sequence = new SampleSequence(TICKS_PER_SAMPLE);
      sequence.place(wire(7));
      expect(sequence.place(wire(8 + missing))).toMatchObject({ order: 'gap', missing, index: 8 + missing });
    }
  });

  test('the same line twice is a duplicate and moves nothing', () => {
    expect(orders([3, 4, 4, 5])).toEqual(['first', 'next', 'duplicate', 'next']);
  });

  test('a sample out of order is late and keeps its own place', () => {
    const sequence = new SampleSequence(TICKS_PER_SAMPLE);
    sequence.place(wire(65_534));
    sequence.place(wire(65_537));
    expect(sequence.place(wire(65_535))).toMatchObject({
      order: 'late',
      index: 65_535,
      timeTicks: 65_535 * TICKS_PER_SAMPLE,
    });
    expect(sequence.place(wire(65_538))).toMatchObject({ order: 'next', index: 65_538 });
  });

  test('a board that starts again begins a new epoch', () => {
    const sequence = new SampleSequence(TICKS_PER_SAMPLE);
    sequence.place(wire(40_000));
    expect(sequence.place(wire(0))).toEqual({
      order: 'restart',
      missing: 0,
      epoch: 1,
      index: 0,
      timeTicks: 0,
    });
    expect(sequence.place(wire(1))).toMatchObject({ order: 'next', epoch: 1 });
    expect(sequence.place({ sequence: 500, timeTicks: 0 })).toMatchObject({ order: 'restart', epoch: 2 });
  });

  test('a rate that the board has rounded for its report is no restart', () => {
    // 2 MHz / 1024 = 1953.125 samples/s, reported as 1953
    const sequence = new SampleSequence(2_000_000 / 1_953);
    for (let index = 0; index < 5_000; index += 1) {
      expect(sequence.place(wire(index, 1_024)).order).toBe(index === 0 ? 'first' : 'next');
    }
    expect(sequence.place(wire(205_000, 1_024))).toMatchObject({ order: 'gap', missing: 200_000 });
  });

  test('a changed rate continues the epoch', () => {
    const sequence = new SampleSequence(4_000);
    sequence.place({ sequence: 10, timeTicks: 40_000 });
    sequence.setTicksPerSample(8_000);
    expect(sequence.place({ sequence: 11, timeTicks: 48_000 })).toMatchObject({ order: 'next', epoch: 0 });
  });

  test('any samples lost, in any pattern, leave index and time of the others true', () => {
    fc.assert(
      fc.property(
        fc.nat({ max: 3_000_000 }),
        fc.array(
          fc.oneof(fc.constant(1), fc.integer({ min: 1, max: 50 }), fc.integer({ min: 1, max: 300_000 })),
          {
            maxLength: 60,
          },
        ),
        (start, steps) => {
          const sequence = new SampleSequence(TICKS_PER_SAMPLE);
          const first = sequence.place(wire(start));
          let index = start;
          for (const step of steps) {
            index += step;
            const placed = sequence.place(wire(index));
            expect(placed.epoch).toBe(0);
            expect(placed.missing).toBe(step - 1);
            expect(placed.index - first.index).toBe(index - start);
            expect(placed.timeTicks - first.timeTicks).toBe((index - start) * TICKS_PER_SAMPLE);
          }
        },
      ),
      { seed: SEED },
    );
  });

  test.each([0, -1, Number.NaN, Infinity])('%s ticks per sample is misuse', (ticks) => {
    expect(() => new SampleSequence(ticks)).toThrow(RangeError);
    expect(() => new SampleSequence(1).setTicksPerSample(ticks)).toThrow(RangeError);
  });
});
