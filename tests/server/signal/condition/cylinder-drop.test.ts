import { describe, expect, it } from 'vitest';
import { cylinderDrop } from '../../../../server/signal/condition/cylinder-drop.ts';
import { dropSlots } from '../../../../server/signal/condition/drop-slots.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';
import { deadFound, dropInPractice, dropOfToldEngine } from './drop-runs.ts';

/** Speed of each cycle: an idle of 1000 r/min that loses so much between these times. */
function speeds(
  drops: readonly { fromS: number; toS: number; lossRpm: number }[],
  durationS: number,
  seed = 1,
): { timeS: number[]; speedRpm: number[] } {
  const random = seededRandom(seed, 88);
  const timeS = Array.from({ length: Math.floor(durationS / 0.12) }, (_, at) => 0.12 * at);
  const speedRpm = timeS.map((t) => {
    const lost = drops.reduce(
      (sum, { fromS, toS, lossRpm }) => sum + (t > fromS && t < toS ? lossRpm : 0),
      0,
    );
    return 1000 - lost + 6 * random.normal();
  });
  return { timeS, speedRpm };
}

describe('a cylinder drop test', () => {
  it('finds when each cylinder was disabled and ranks them by the speed that was lost', () => {
    const series = speeds(
      [
        { fromS: 6, toS: 11, lossRpm: 120 },
        { fromS: 16, toS: 21, lossRpm: 180 },
        { fromS: 26, toS: 31, lossRpm: 40 },
        { fromS: 36, toS: 41, lossRpm: 150 },
      ],
      47,
    );
    const { cylinders } = cylinderDrop({
      ...series,
      recordStartS: 0,
      recordEndS: 47,
      order: [0, 1, 3, 2],
    });
    expect(cylinders.map(({ rank }) => rank)).toEqual([3, 1, 2, 4]);
    expect(cylinders.map(({ state }) => state)).toEqual(['works', 'works', 'works', 'weak']);
    [120, 180, 150, 40].forEach((lossRpm, cylinder) => {
      const one = cylinders[cylinder]!;
      expect(Math.abs(one.lossRpm! - lossRpm)).toBeLessThan(4 * one.uncertaintyRpm!);
      expect(one.uncertaintyRpm).toBeLessThan(8);
    });
    expect(cylinders[0]!.disabledS!.startS).toBeCloseTo(6, 0);
    expect(cylinders[0]!.disabledS!.endS).toBeCloseTo(11, 0);
  });

  it('names the cylinder that changed nothing by the hole in the rhythm, or by marks', () => {
    const all = [5, 15, 25, 35].map((fromS) => ({ fromS, toS: fromS + 5, lossRpm: 150 }));
    for (const dead of [0, 1, 2, 3]) {
      const drops = all.filter((_, at) => at !== dead);
      const input = {
        ...speeds(drops, 45, dead),
        recordStartS: 0,
        recordEndS: 45,
        order: [0, 1, 2, 3],
      };
      const marked = cylinderDrop({ ...input, marksS: [6, 14.5, 26, 34] });
      for (const result of [cylinderDrop(input), marked]) {
        expect(result.cylinders.map(({ state }) => state === 'dead')).toEqual(
          all.map((_, at) => at === dead),
        );
        expect(result.cylinders[dead]!.verdict).toBe('found');
        expect(result.whatToDo).toContain('plug lead');
      }
    }
  });

  it('says that it cannot tell when nothing fell, when the rhythm does not tell, or when the engine stood', () => {
    const base = { recordStartS: 0, recordEndS: 45, order: [0, 1, 2, 3] };
    expect(cylinderDrop({ ...base, ...speeds([], 45) }).reason).toBe('no-drops');
    const uneven = speeds(
      [
        { fromS: 5, toS: 10, lossRpm: 150 },
        { fromS: 20, toS: 25, lossRpm: 150 },
        { fromS: 35, toS: 40, lossRpm: 150 },
      ],
      45,
    );
    expect(cylinderDrop({ ...base, ...uneven }).reason).toBe('rhythm-unclear');
    const stopped = speeds([{ fromS: 5, toS: 9, lossRpm: 150 }], 12);
    const result = cylinderDrop({ ...base, ...stopped });
    expect(result.reason).toBe('engine-stopped');
    expect(result.cylinders.every(({ verdict }) => verdict === 'cannot-tell')).toBe(true);
  });

  it('refuses a cylinder named twice, and marks that do not fit', () => {
    const input = { timeS: [], speedRpm: [], recordStartS: 0, recordEndS: 1 };
    expect(() => cylinderDrop({ ...input, order: [0, 0] })).toThrow('once');
    expect(() => cylinderDrop({ ...input, order: [0, 1], marksS: [3] })).toThrow('2 cylinders and 1 marks');
  });

  it('accuses no cylinder when none was disabled and the idle wanders (seeds 1-40)', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const random = seededRandom(seed, 89);
      let state = 0;
      const { timeS } = speeds([], 60);
      const speedRpm = timeS.map(() => {
        state = 0.9 * state + 5 * random.normal();
        return 1000 + state + 5 * random.normal();
      });
      const input = { timeS, speedRpm, recordStartS: 0, recordEndS: 60, order: [0, 1, 2, 3] };
      expect(cylinderDrop(input).reason, `seed ${seed}`).toBe('no-drops');
    }
  });

  it('finds the dead cylinder of engines whose speed is told to fall, and accuses no other (seeds 1-12)', () => {
    const count = deadFound(Array.from({ length: 12 }, (_, at) => dropOfToldEngine(at + 1, at % 2 === 0)));
    expect(count.dead).toBeGreaterThan(6);
    expect(count.found).toBe(count.dead);
    expect(count.accused).toBe(0);
  });

  it('finds the dead cylinder of practice engines, stalls and restarts included (seeds 1-3)', () => {
    const count = deadFound(Array.from({ length: 3 }, (_, at) => dropInPractice(at + 1, false)));
    expect(count.dead).toBeGreaterThan(0);
    expect(count.found).toBe(count.dead);
    expect(count.accused).toBe(0);
  });
});

describe('the rhythm of drops', () => {
  it.each([
    ['all there', [5, 15, 25], 3, 5, 5, [0, 1, 2]],
    ['the second missing', [5, 25, 35], 4, 5, 5, [0, 2, 3]],
    ['the first missing', [15, 25, 35], 4, 15, 5, [1, 2, 3]],
    ['the last missing', [5, 15, 25], 4, 5, 15, [0, 1, 2]],
    ['two missing', [5, 35, 45, 55], 6, 5, 5, [0, 3, 4, 5]],
    ['one of a pair', [5], 2, 5, 15, [0]],
  ])('tells the slots with %s', (_what, startsS, slots, headS, tailS, expected) => {
    expect(dropSlots({ startsS, slots, headS, tailS, lengthS: 5 })).toEqual(expected);
  });

  it('tells nothing where both ends are alike, or there are more drops than slots', () => {
    expect(dropSlots({ startsS: [10, 20], slots: 3, headS: 10, tailS: 10, lengthS: 5 })).toBeNull();
    expect(dropSlots({ startsS: [1, 2, 3], slots: 2, headS: 5, tailS: 5, lengthS: 1 })).toBeNull();
    expect(dropSlots({ startsS: [], slots: 2, headS: 5, tailS: 5, lengthS: 1 })).toBeNull();
  });
});
