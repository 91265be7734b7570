import { describe, expect, it } from 'vitest';
import { Random } from '../../../../server/practice/random.ts';
import { CycleSpread } from '../../../../server/signal/advice/cycle-spread.ts';
import type { Balance } from '../../../../server/signal/advice/gap-space.ts';
import { SteadyStretch } from '../../../../server/signal/advice/steady-stretch.ts';

const SD_KPA = 0.2;
const CYCLE_S = 0.11;

/** The running mean of single cycles, as a reading has it. */
class RunningMean {
  readonly #random: Random;
  #sum = 0;
  cycles = 0;

  constructor(seed: number) {
    this.#random = new Random(seed);
  }

  next(level: number, rpm = 1100): Balance {
    this.#sum += level + SD_KPA * this.#random.normal();
    this.cycles++;
    return {
      timeS: this.cycles * CYCLE_S,
      cycles: this.cycles,
      z: [this.#sum / this.cycles],
      covariance: [[SD_KPA ** 2 / this.cycles]],
      speed: { rpm, steadyRpm: rpm },
    };
  }
}

function begun(mean: RunningMean, level: number, cycles: number): SteadyStretch {
  for (let i = 0; i < 7; i++) mean.next(level);
  const stretch = new SteadyStretch(mean.next(level), new CycleSpread());
  for (let i = 8; i < cycles; i++) stretch.push(mean.next(level));
  return stretch;
}

/** Cycles after a change until the stretch is cut, or null when it is not within so many. */
function cyclesToCut(seed: number, change: number, asked: number | null, most: number): number | null {
  const mean = new RunningMean(seed);
  const stretch = begun(mean, 2, 60);
  const fromS = (mean.cycles - 1) * CYCLE_S;
  const expected =
    asked === null ? null : { fromS, changes: [{ mean: [asked], covariance: [[(0.3 * asked) ** 2]] }] };
  for (let i = 1; i <= most; i++) {
    stretch.push(mean.next(2 + change));
    if (stretch.split(expected) !== null) return i;
  }
  return null;
}

describe('a steady stretch', () => {
  const seeds = Array.from({ length: 60 }, (_, i) => 300 + i);

  it('is cut where the level changed, and what comes after is known by itself (seed 7)', () => {
    const mean = new RunningMean(7);
    const stretch = begun(mean, 2, 100);
    let cut: SteadyStretch | null = null;
    for (let i = 0; i < 20 && cut === null; i++) {
      stretch.push(mean.next(3));
      cut = stretch.split(null);
    }
    for (let i = 0; i < 40; i++) cut!.push(mean.next(3));
    expect(cut!.isCut).toBe(true);
    expect(cut!.balance.z[0]).toBeCloseTo(3, 0.7);
    expect(cut!.balance.cycles).toBeLessThan(60);
    expect(stretch.balance.z[0]).toBeLessThan(2.2);
  });

  it(`a touch that was asked for is noticed sooner than one that was not (seeds ${seeds[0]}…${seeds.at(-1)})`, () => {
    const noticed = (asked: number | null) =>
      seeds.filter((seed) => cyclesToCut(seed, 0.25, asked, 16) !== null).length;
    expect(noticed(0.25)).toBeGreaterThan(0.75 * seeds.length);
    expect(noticed(null)).toBeLessThan(0.6 * noticed(0.25));
  });

  it(`cycles on one level are cut in few of ${seeds.length} idles (seeds ${seeds[0]}…${seeds.at(-1)})`, () => {
    const cut = (asked: number | null, cycles: number) =>
      seeds.filter((seed) => cyclesToCut(seed, 0, asked, cycles) !== null).length;
    expect(cut(null, 300)).toBeLessThanOrEqual(3);
    // Someone who was asked for a turn makes it within ten seconds or so.
    expect(cut(0.6, 100)).toBeLessThanOrEqual(3);
  });

  it('gaps that follow the speed of the engine do not cut it (seed 11)', () => {
    const run = (rpmAfter: number) => {
      const mean = new RunningMean(11);
      const stretch = begun(mean, 5, 80);
      for (let i = 1; i <= 40; i++) {
        const part = Math.min(1, i / 15);
        stretch.push(mean.next(5 * (1 - 0.15 * part), 1100 + (rpmAfter - 1100) * part));
        if (stretch.split(null) !== null) return true;
      }
      return false;
    };
    expect(run(1100)).toBe(true);
    expect(run(1250)).toBe(false);
  });

  it('can leave out its last moments (seed 12)', () => {
    const mean = new RunningMean(12);
    const stretch = begun(mean, 2, 50);
    const until = mean.cycles * CYCLE_S;
    for (let i = 0; i < 10; i++) stretch.push(mean.next(9));
    expect(stretch.until(until).cycles).toBe(50);
    expect(stretch.until(until).z[0]).toBeCloseTo(2, 0.7);
  });
});
