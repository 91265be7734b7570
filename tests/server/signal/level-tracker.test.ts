import { mean, standardDeviation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { LevelTracker, STEADY_AFTER_CYCLES } from '../../../server/signal/level-tracker.ts';
import { seededRandom } from '../../engines/seeded-random.ts';
import { PUBLISHED_RUN_LENGTHS, TwoSidedCusum } from './two-sided-cusum.ts';

const SEED = 71;
const LEVEL_KPA = 30;
const SD_KPA = 0.4;
const CUSUM_ALLOWANCE = 0.5;

/** Mean number of values until `alarm` says so, counted from the first one; and the standard error of that mean. */
function runLength(runs: number, oneRun: () => number): { mean: number; standardError: number } {
  let sum = 0;
  let squares = 0;
  for (let run = 0; run < runs; run++) {
    const length = oneRun();
    sum += length;
    squares += length * length;
  }
  const average = sum / runs;
  return { mean: average, standardError: Math.sqrt((squares / runs - average * average) / runs) };
}

function untilAlarm(push: () => boolean, most: number): number {
  let count = 1;
  while (count < most && !push()) count++;
  return count;
}

describe(`against the cumulative-sum chart, seed ${SEED}`, () => {
  const charts = ([4, 5] as const).flatMap((h) =>
    ([0, 0.5, 1, 2, 3] as const).map((shift) => ({ h, shift, published: PUBLISHED_RUN_LENGTHS[h][shift] })),
  );

  it.each(charts)(
    'the reference chart, h $h, shift $shift sd, runs $published values',
    ({ h, shift, published }) => {
      const random = seededRandom(SEED, 10 * h + shift);
      const found = runLength(shift === 0 ? 1500 : 4000, () => {
        const chart = new TwoSidedCusum(CUSUM_ALLOWANCE, h);
        return untilAlarm(() => chart.push(shift + random.normal()), 100_000);
      });
      // Half a unit of the last printed digit, and four standard errors of the simulation.
      expect(Math.abs(found.mean - published)).toBeLessThan(0.05 + 4 * found.standardError);
    },
  );

  it('a steady level is called changed at most a fifth as often as by the chart with h = 5', () => {
    const random = seededRandom(SEED, 1);
    const perSeries = 600;
    const series = 60;
    let alarms = 0;
    for (let one = 0; one < series; one++) {
      const tracker = new LevelTracker();
      for (let value = 0; value < perSeries; value++) {
        if (tracker.push(LEVEL_KPA + SD_KPA * random.normal())) alarms++;
      }
    }
    const values = series * perSeries;
    console.info(
      `steady: ${alarms} false alarms in ${values} values; the chart has one in ${PUBLISHED_RUN_LENGTHS[5][0]}`,
    );
    expect(alarms).toBeLessThan(values / PUBLISHED_RUN_LENGTHS[5][0] / 5);
  });

  it('a changed level is found about as soon as by the chart with h = 5, which is told level and scatter', () => {
    const lines: string[] = [];
    const found = ([1, 2, 3] as const).map((shift) => {
      const random = seededRandom(SEED, 20 + shift);
      const delay = runLength(shift === 1 ? 100 : 300, () => {
        const tracker = new LevelTracker();
        for (let value = 0; value < 200; value++) tracker.push(LEVEL_KPA + SD_KPA * random.normal());
        return untilAlarm(() => tracker.push(LEVEL_KPA + SD_KPA * (shift + random.normal())), 1000);
      });
      lines.push(
        `${shift} sd: ${delay.mean.toFixed(2)} ± ${delay.standardError.toFixed(2)} values (chart ${PUBLISHED_RUN_LENGTHS[5][shift]})`,
      );
      return delay;
    });
    console.info(`after 200 steady values a change of ${lines.join(', ')}`);
    expect(found[2]!.mean - 2 * found[2]!.standardError).toBeLessThan(PUBLISHED_RUN_LENGTHS[5][3]);
  });
});

describe(`one series, seed ${SEED}`, () => {
  const steady = (tracker: LevelTracker, count: number, levelKpa: number, stream: number): number[] => {
    const random = seededRandom(SEED, stream);
    const values = Array.from({ length: count }, () => levelKpa + SD_KPA * random.normal());
    for (const value of values) tracker.push(value);
    return values;
  };

  it('level and scatter are those of the values since the last change', () => {
    const tracker = new LevelTracker();
    steady(tracker, 80, LEVEL_KPA, 31);
    const after = steady(tracker, 40, LEVEL_KPA + 12 * SD_KPA, 32);
    expect(tracker.changes).toBe(1);
    expect(tracker.values).toEqual(after);
    const level = tracker.level();
    expect(level.count).toBe(40);
    expect(level.mean).toBeCloseTo(mean(after), 10);
    expect(level.sd).toBeCloseTo(standardDeviation(after) * Math.sqrt(40 / 39), 10);
  });

  it.each([1, -1])('the side of a change is its direction (%i)', (side) => {
    const tracker = new LevelTracker();
    steady(tracker, 60, LEVEL_KPA, 33);
    expect(tracker.side).toBe(0);
    steady(tracker, 5, LEVEL_KPA + side * 10 * SD_KPA, 34);
    expect(tracker.side).toBe(side);
  });

  it('settling until eight values, then steady; moving after a change, settling, steady again', () => {
    const tracker = new LevelTracker();
    const random = seededRandom(SEED, 35);
    const seen: string[] = [];
    for (let value = 0; value < 60; value++) {
      tracker.push((value < 40 ? LEVEL_KPA : LEVEL_KPA + 5) + SD_KPA * random.normal());
      if (seen.at(-1) !== tracker.settling) seen.push(tracker.settling);
      if (value < STEADY_AFTER_CYCLES - 1) expect(tracker.settling).toBe('settling');
      else if (value < 40) expect(tracker.settling).toBe('steady');
    }
    expect(seen).toEqual(['settling', 'steady', 'moving', 'settling', 'steady']);
  });

  it('a single value far off is a change, but not at once when its cycle had a missed pulse', () => {
    const farOff = [false, true].map((doubtful) => {
      const tracker = new LevelTracker();
      steady(tracker, 120, LEVEL_KPA, 36);
      return tracker.push(LEVEL_KPA - 6 * SD_KPA, doubtful);
    });
    expect(farOff).toEqual([true, false]);
  });

  it('two values off to one side are a change, also from cycles with missed pulses', () => {
    const tracker = new LevelTracker();
    steady(tracker, 120, LEVEL_KPA, 37);
    for (let value = 0; value < 3; value++) tracker.push(LEVEL_KPA);
    expect(tracker.push(LEVEL_KPA - 4 * SD_KPA, true)).toBe(false);
    expect(tracker.push(LEVEL_KPA - 4 * SD_KPA, true)).toBe(true);
  });

  it('a turned screw seen elsewhere keeps the newest values only', () => {
    const tracker = new LevelTracker();
    const values = steady(tracker, 30, LEVEL_KPA, 38);
    tracker.changeTo(4);
    expect(tracker.values).toEqual(values.slice(-4));
    expect(tracker.settling).toBe('moving');
    tracker.restart(0);
    expect(tracker.values).toEqual([]);
    expect(tracker.level()).toMatchObject({ count: 0, sd: null, standardError: null });
  });

  it('changes are found at the same values in kPa of another size, on another level, and upside down', () => {
    const random = seededRandom(SEED, 39);
    const raw = Array.from({ length: 300 }, (_, value) => random.normal() + (value % 100 > 60 ? 5 : 0));
    const changesOf = (series: readonly number[]): number[] => {
      const tracker = new LevelTracker();
      return series.flatMap((value, index) => (tracker.push(value) ? [index] : []));
    };
    const found = changesOf(raw);
    expect(found.length).toBeGreaterThan(4);
    expect(changesOf(raw.map((value) => 0.25 * value + 40))).toEqual(found);
    expect(changesOf(raw.map((value) => -value))).toEqual(found);
  });

  it('the more series are watched together, the more each must show', () => {
    const [alone, amongEight] = [1, 8].map((family) => {
      const random = seededRandom(SEED, 40);
      return runLength(100, () => {
        const tracker = new LevelTracker(family);
        for (let value = 0; value < 150; value++) tracker.push(random.normal());
        return untilAlarm(() => tracker.push(3 + random.normal()), 400);
      });
    });
    expect(amongEight!.mean).toBeGreaterThan(alone!.mean);
  });
});
