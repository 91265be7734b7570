import { mean, sampleVariance } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import type { CaptureFigures } from '../../../server/jobs/capture-store.ts';
import { compareCaptures } from '../../../server/jobs/compare-captures.ts';

const figures = (
  cylinders: readonly (readonly [kpa: number, error: number, sd: number])[],
  spread: readonly [number, number] = [2, 0.1],
): CaptureFigures => ({
  spreadKpa: spread[0],
  spreadExpandedKpa: spread[1],
  gapsKpa: [],
  idleRpm: 1100,
  roughnessScore: 20,
  cylinders: cylinders.map(([vacuumKpa, vacuumStandardErrorKpa, vacuumSdKpa]) => ({
    vacuumKpa,
    vacuumStandardErrorKpa,
    vacuumSdKpa,
    vacuumExpandedKpa: 1.5,
    cycles: 100,
  })),
});

describe('before and after', () => {
  test('have the difference and standard error of an unpaired comparison of means', () => {
    // Student's sleep data (1908), as in R's t.test example: t = -1.8608 for mean difference 0.75 - 2.33.
    const first = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0];
    const second = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4];
    const described = (values: number[]) =>
      [mean(values), Math.sqrt(sampleVariance(values) / values.length), 0] as const;
    const [compared] = compareCaptures(
      figures([described(first)]),
      figures([described(second)]),
      true,
    ).cylinders;
    expect(compared?.difference).toBeCloseTo(1.58, 12);
    expect(compared!.difference! / (compared!.differenceExpanded! / 2)).toBeCloseTo(1.86081347, 7);
    expect(compared?.verdict).toBe('no-difference-shown');
  });

  test('say that there is a difference only where the interval leaves 0 out', () => {
    const verdict = (after: number) =>
      compareCaptures(figures([[30, 0.1, 0.2]]), figures([[after, 0.1, 0.2]]), true).cylinders[0]?.verdict;
    // Expanded: 2 x sqrt(0.1² + 0.1²) = 0.283.
    expect(verdict(30.28)).toBe('no-difference-shown');
    expect(verdict(30.3)).toBe('larger');
    expect(verdict(29.7)).toBe('smaller');
  });

  test('say in plain words when the engine itself varies more than that', () => {
    const { cylinders } = compareCaptures(figures([[30, 0.05, 1]]), figures([[30.5, 0.05, 1]]), true);
    expect(cylinders[0]?.verdict).toBe('within-scatter');
    expect(cylinders[0]?.sentence).toBe(
      'The vacuum is larger by 0.50 ± 0.14 kPa, no more than the engine varies by itself from cycle to cycle (1.00 kPa).',
    );
  });

  test('with different calibrations count the calibration in', () => {
    const { cylinders } = compareCaptures(figures([[30, 0.05, 0.1]]), figures([[31, 0.05, 0.1]]), false);
    expect(cylinders[0]?.differenceExpanded).toBeCloseTo(1.5 * Math.SQRT2, 12);
    expect(cylinders[0]?.verdict).toBe('no-difference-shown');
  });

  test('judge the spread by its own uncertainty', () => {
    const compared = compareCaptures(figures([], [4, 0.2]), figures([], [0.6, 0.15]), true);
    expect(compared.spread).toMatchObject({ verdict: 'smaller', differenceExpanded: 0.25 });
    expect(compared.spread.difference).toBeCloseTo(-3.4, 12);
    expect(compared.sentence).toBe('The largest difference is smaller by 3.40 ± 0.25 kPa.');
  });

  test('never call nothing less than nothing', () => {
    const sentence = (to: number) =>
      compareCaptures(figures([], [0.8, 0.03]), figures([], [to, 0.04]), true).sentence;
    const same = 'The largest difference has not changed as far as can be measured';
    expect(sentence(0.797)).toBe(`${same} (0.00 ± 0.05 kPa).`);
    expect(sentence(0.804)).toBe(`${same} (0.00 ± 0.05 kPa).`);
    expect(sentence(0.78)).toBe(`${same} (−0.02 ± 0.05 kPa).`);
    expect(sentence(0.82)).toBe(`${same} (+0.02 ± 0.05 kPa).`);
  });

  test('tell a difference with the decimals that its uncertainty is worth', () => {
    // JCGM 100:2008, 7.2.6: one or two digits of the uncertainty, and the figure as far.
    const sentence = (expanded: number) =>
      compareCaptures(figures([], [4.123, 0]), figures([], [2, expanded]), true).sentence;
    expect(sentence(0.4)).toBe('The largest difference is smaller by 2.1 ± 0.4 kPa.');
    expect(sentence(1.26)).toBe('The largest difference is smaller by 2.1 ± 1.3 kPa.');
    expect(sentence(0.004)).toBe('The largest difference is smaller by 2.123 ± 0.004 kPa.');
  });

  test('without figures say that it was not measured', () => {
    const nothing = {
      spreadKpa: null,
      spreadExpandedKpa: null,
      gapsKpa: [],
      idleRpm: null,
      roughnessScore: null,
    };
    const compared = compareCaptures(nothing, figures([[30, 0.1, 0.1]]), true);
    expect(compared.cylinders[0]).toMatchObject({ verdict: 'not-measured', difference: null, after: 30 });
    expect(compared.spread.verdict).toBe('not-measured');
    expect(compared.roughness.verdict).toBe('not-measured');
  });
});
