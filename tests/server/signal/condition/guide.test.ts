import { describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../../../server/signal/condition/check-cautions.ts';
import { COMPLAINTS } from '../../../../server/signal/condition/complaint-guide.ts';
import { idleHints } from '../../../../server/signal/condition/idle-hints.ts';
import type { RoughnessFigures } from '../../../../server/signal/reading.ts';

describe('the complaint guide', () => {
  it('gives every complaint an order of checks, each with its reason', () => {
    expect(new Set(COMPLAINTS.map(({ id }) => id)).size).toBe(COMPLAINTS.length);
    for (const { steps } of COMPLAINTS) {
      expect(steps.length).toBeGreaterThanOrEqual(3);
      for (const { because, what } of steps) expect(because.length * what.length).toBeGreaterThan(0);
    }
  });

  it('comes to balancing last, and warns before whatever runs, sprays or sparks', () => {
    const steps = COMPLAINTS.flatMap((complaint) => complaint.steps);
    for (const complaint of COMPLAINTS) {
      const at = complaint.steps.findIndex(({ check }) => check === 'balance');
      const before = complaint.steps.slice(0, at).some(({ check }) => check !== 'key-off');
      if (at >= 0) expect(at === complaint.steps.length - 1 || !before).toBe(true);
    }
    for (const { check, cautions } of steps) {
      if (['spot', 'drop', 'blip', 'idle-quality', 'two-opening', 'balance'].includes(check))
        expect(cautions).toContain('exhaust');
      if (check === 'spot') expect(cautions).toContain('water-only');
      if (check === 'drop') expect(cautions).toContain('spark-off');
      for (const caution of cautions) expect(CAUTIONS[caution]).toBeTruthy();
    }
  });

  it('recommends nothing that burns', () => {
    const text = JSON.stringify([COMPLAINTS, CAUTIONS]).toLowerCase();
    for (const word of ['propane', 'carb cleaner', 'brake cleaner', 'wd']) expect(text).not.toContain(word);
    expect(CAUTIONS['water-only']).toContain('Never spray anything that burns');
  });
});

describe('hints from the idle’s pattern', () => {
  const quiet: RoughnessFigures = {
    score: 10,
    cycleLengthCovPercent: 1,
    choppinessPercent: 1,
    hunting: null,
    perCylinder: [1, 2, 3, 4].map(() => ({
      depthCovPercent: 3,
      missedPerMinute: 0,
      lowestNormalisedCycle: 0.9,
    })),
  };
  const withMissed = (missed: readonly number[]): RoughnessFigures => ({
    ...quiet,
    perCylinder: missed.map((missedPerMinute) => ({ ...quiet.perCylinder[0]!, missedPerMinute })),
  });

  it('says nothing of a quiet idle', () => {
    expect(idleHints(quiet, 1000)).toEqual([]);
  });

  it('tells one cylinder from all', () => {
    expect(idleHints(withMissed([0, 0, 9, 0.5]), 1000).map(({ id }) => id)).toEqual(['one-misses']);
    expect(idleHints(withMissed([0, 0, 9, 0.5]), 1000)[0]!.seen).toContain('Cylinder 3');
    expect(idleHints(withMissed([4, 3, 5, 4]), 1000).map(({ id }) => id)).toEqual(['all-miss']);
  });

  it('speaks of hunting, of scatter of one cylinder, and of plain unevenness, always as what is common', () => {
    const hints = [
      ...idleHints({ ...quiet, hunting: { amplitudeRpm: 40, periodS: 1.5 } }, 1000),
      ...idleHints({ ...quiet, hunting: { amplitudeRpm: 40, periodS: 5 } }, 1000),
      ...idleHints(
        {
          ...quiet,
          perCylinder: [3, 4, 30].map((depthCovPercent) => ({ ...quiet.perCylinder[0]!, depthCovPercent })),
        },
        1000,
      ),
      ...idleHints({ ...quiet, choppinessPercent: 7 }, 1000),
    ];
    expect(hints.map(({ id }) => id)).toEqual(['hunts', 'hunts-slowly', 'one-scatters', 'uneven']);
    for (const { pointsTo } of hints) expect(pointsTo).toContain('commonly points to');
  });
});
