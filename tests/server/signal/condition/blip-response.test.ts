import { describe, expect, it } from 'vitest';
import { blipResponse } from '../../../../server/signal/condition/blip-response.ts';
import { type BlipRecord, throttleBlips } from '../../../../server/signal/condition/throttle-blips.ts';
import { blipCount, blipInPractice, blipOfRefilling } from './blip-runs.ts';

/** Vacuum without pulses: falls to a part of the idle's while open, overshoots after it, each cylinder in its way. */
function drawn(options: {
  readonly blipsS: readonly number[];
  readonly remaining: readonly number[];
  readonly overshoot?: number;
  readonly only?: number;
}): BlipRecord {
  const { blipsS, remaining, overshoot = 0.5, only } = options;
  const durationS = 30;
  const timeS = Array.from({ length: durationS * 100 }, (_, at) => at / 100);
  const vacuumKpa = remaining.map((share, cylinder) =>
    timeS.map((t) => {
      const blip =
        only !== undefined && only !== cylinder ? undefined : blipsS.find((b) => t >= b && t < b + 4);
      if (blip === undefined) return 40 + cylinder;
      const level = t < blip + 0.5 ? share : 1 + overshoot * Math.exp(-(t - blip - 0.5) / 0.7);
      return (40 + cylinder) * level;
    }),
  );
  return {
    timeS,
    vacuumKpa,
    cycleTimeS: timeS.filter((_, at) => at % 12 === 0),
    cycleSpeedRpm: timeS.filter((_, at) => at % 12 === 0).map(() => 1000),
    revolutions: 2,
  };
}

const BLIPS = [5, 10, 15, 20, 25];

describe('a blip test', () => {
  it('finds the blips by themselves and the slide that keeps its vacuum', () => {
    const { blips, cylinders } = blipResponse(drawn({ blipsS: BLIPS, remaining: [0.15, 0.15, 0.4, 0.17] }));
    expect(blips.map(({ openS }) => Math.round(openS))).toEqual(BLIPS);
    expect(cylinders.map(({ verdict }) => verdict)).toEqual(['not-found', 'not-found', 'found', 'not-found']);
    expect(cylinders[2]!.excess!.value).toBeCloseTo(0.25, 1);
    expect(cylinders[2]!.whatToDo).toContain('diaphragm');
    expect(cylinders[0]!.dipKpa).toBeCloseTo(0.85 * 40, 0);
    // 1 + 0.5 exp(-t / 0.7) is within a tenth of 1 from t = 0.7 ln 5 on.
    expect(Math.abs(cylinders[0]!.recoveryS! - 0.7 * Math.log(5))).toBeLessThan(0.1);
  });

  it('measures how much later one cylinder follows', () => {
    const record = drawn({ blipsS: BLIPS, remaining: [0.1, 0.1, 0.1] });
    const late = record.vacuumKpa.map((column, cylinder) =>
      cylinder === 1
        ? Array.from(column, (value, at) => {
            const since = BLIPS.map((b) => at / 100 - b).find((s) => s >= 0 && s < 0.2);
            return since === undefined ? value : 41;
          })
        : column,
    );
    const { cylinders } = blipResponse({ ...record, vacuumKpa: late });
    expect(cylinders[1]!.delayS! - cylinders[0]!.delayS!).toBeCloseTo(0.2, 1);
    expect(cylinders[1]!.verdict).toBe('found');
  });

  it('calls no pulled hose and no stall a blip', () => {
    const hose = drawn({ blipsS: BLIPS, remaining: [0, 0, 0, 0], overshoot: 0, only: 1 });
    expect(throttleBlips(hose)).toEqual([]);
    const stalled = drawn({ blipsS: BLIPS, remaining: [0.1, 0.1] });
    const stops = {
      ...stalled,
      vacuumKpa: stalled.vacuumKpa.map((c) => Array.from(c, (v, at) => (at > 520 ? 0 : v))),
    };
    expect(throttleBlips(stops)).toEqual([]);
    expect(blipResponse(hose).cylinders.every(({ verdict }) => verdict === 'cannot-tell')).toBe(true);
    expect(blipResponse(hose).reason).toBe('no-blips');
  });

  it('cannot tell from two blips, nor of one cylinder that has no earlier visit', () => {
    expect(blipResponse(drawn({ blipsS: [5, 10], remaining: [0.1, 0.4] })).reason).toBe('too-few-blips');
    const single = drawn({ blipsS: BLIPS, remaining: [0.45] });
    expect(blipResponse(single).cylinders[0]!.reason).toBe('nothing-to-compare');
    expect(blipResponse(single, { earlier: [{ remainingShare: 0.15 }] }).cylinders[0]!.verdict).toBe('found');
    expect(blipResponse(single, { earlier: [{ remainingShare: 0.44 }] }).cylinders[0]!.verdict).toBe(
      'not-found',
    );
  });

  it('takes off what was usual at an earlier visit, and refuses another engine’s', () => {
    const record = drawn({ blipsS: BLIPS, remaining: [0.15, 0.3] });
    expect(blipResponse(record).cylinders[1]!.verdict).toBe('found');
    const earlier = [{ remainingShare: 0.15 }, { remainingShare: 0.3 }];
    expect(blipResponse(record, { earlier }).cylinders[1]!.verdict).toBe('not-found');
    expect(() => blipResponse(record, { earlier: [null] })).toThrow('2 cylinders, and 1');
  });

  it('stands an empty record and missing samples', () => {
    const empty = { timeS: [], vacuumKpa: [[], []], cycleTimeS: [], cycleSpeedRpm: [], revolutions: 2 };
    expect(blipResponse(empty).reason).toBe('no-blips');
    const record = drawn({ blipsS: BLIPS, remaining: [0.15, 0.15, 0.4] });
    const holes = record.vacuumKpa.map((column, cylinder) =>
      Array.from(column, (value, at) => (cylinder === 0 || at % 7 === 0 ? Number.NaN : value)),
    );
    const { cylinders } = blipResponse({ ...record, vacuumKpa: holes });
    expect(cylinders.map(({ verdict }) => verdict)).toEqual(['cannot-tell', 'not-found', 'found']);
  });

  it.each([
    ['smooth', false],
    ['rough', true],
  ])('finds the torn diaphragm of engines of another make that idle %s (seeds 1-12)', (_how, rough) => {
    const count = blipCount(Array.from({ length: 12 }, (_, at) => blipOfRefilling(at + 1, rough)));
    expect(count.torn).toBeGreaterThan(3);
    expect(count.found).toBe(count.torn);
    expect(count.accused).toBe(0);
  });

  it('finds the torn diaphragm of practice engines (seeds 1-3)', () => {
    const count = blipCount(Array.from({ length: 3 }, (_, at) => blipInPractice(at + 1, at === 1)));
    expect(count.torn).toBeGreaterThan(0);
    expect(count.found).toBe(count.torn);
    expect(count.accused).toBe(0);
  });
});
