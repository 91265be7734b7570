import { linearRegression } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { lockedResponse } from '../../../../server/signal/leak/locked-response.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';

const CYCLES = 400;
const CYCLE_S = 0.1;
const timeS = Array.from({ length: CYCLES }, (_, at) => at * CYCLE_S);
const pressed = timeS.map((t) => (t % 10 > 4 && t % 10 < 8 ? 1 : 0));

/** White scatter, a wander of a given correlation, a slow rise and a known response. */
function series(seed: number, white: number, wander: number, rho: number, response: number): number[] {
  const random = seededRandom(seed, 33);
  let state = wander * random.normal();
  return timeS.map((t, at) => {
    state = rho * state + wander * Math.sqrt(1 - rho * rho) * random.normal();
    return 20 + 0.02 * t + state + white * random.normal() + response * pressed[at]!;
  });
}

describe('a response locked to known times', () => {
  it('is what ordinary least squares finds where the scatter is white', () => {
    const values = series(1, 0.3, 0, 0, 0.8).map((value, at) => value - 0.02 * timeS[at]!);
    const found = lockedResponse(timeS, values, [pressed])!;
    const plain = linearRegression(pressed.map((x, at) => [x, values[at]!])).m;
    expect(found.size[0]).toBeCloseTo(plain, 1);
    expect(found.size[0]).toBeCloseTo(0.8, 0);
    // 0.3 over the root of n p (1 - p): the textbook's standard error of a difference of two means.
    expect(found.standardError[0]).toBeGreaterThan(0.3 / Math.sqrt(CYCLES * 0.24));
    expect(found.standardError[0]).toBeLessThan(0.055);
  });

  it.each([
    ['white scatter', 1, 0, 0],
    ['a quick wander', 0.7, 0.7, 0.6],
    ['a slow wander', 0.8, 0.6, 0.95],
    ['hardly any wander', 1, 0.2, 0.9],
    ['wander alone', 0, 1, 0.8],
  ])(
    'is within two standard errors of the truth 93 to 98 times in 100 with %s (seeds 1-300)',
    (_what, white, wander, rho) => {
      let within = 0;
      const runs = 300;
      for (let seed = 1; seed <= runs; seed++) {
        const { size, standardError } = lockedResponse(timeS, series(seed, white, wander, rho, 0.5), [
          pressed,
        ])!;
        if (Math.abs(size[0]! - 0.5) < 2 * standardError[0]!) within++;
      }
      // 95.4 % of 300 ± 3 standard deviations of 1.2 %.
      expect(within / runs).toBeGreaterThan(0.92);
      expect(within / runs).toBeLessThan(0.995);
    },
  );

  it('is not made by one cycle that stands far off', () => {
    const values = series(3, 0.3, 0.1, 0.9, 0);
    values[45] = -40;
    const { size, standardError } = lockedResponse(timeS, values, [pressed])!;
    expect(Math.abs(size[0]!)).toBeLessThan(3 * standardError[0]!);
    expect(Math.abs(size[0]!)).toBeLessThan(0.2);
  });

  it('is not given for too few cycles, a press that falls on none, or a series that never changes', () => {
    expect(lockedResponse(timeS.slice(0, 20), pressed.slice(0, 20), [pressed.slice(0, 20)])).toBeNull();
    expect(lockedResponse(timeS, series(4, 1, 0, 0, 0), [pressed.map(() => 0)])).toBeNull();
    expect(
      lockedResponse(
        timeS,
        timeS.map(() => 3),
        [pressed],
      ),
    ).toBeNull();
  });
});
