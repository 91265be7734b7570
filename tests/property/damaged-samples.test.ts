import fc from 'fast-check';
import { rootMeanSquare } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { analyseRecording } from '../../server/signal/analyse-recording.ts';
import { defaultEngineSetup } from '../../server/signal/engine-setup.ts';
import { Instrument } from '../../server/signal/instrument.ts';
import type { Reading } from '../../server/signal/reading.ts';
import type { Engine } from '../engines/engine-recording.ts';
import type { EngineSpec } from '../engines/engine-spec.ts';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { figuresApart, nonFinite } from './figures-apart.ts';
import { analysed, type ToldRecording, toldRecording } from './told-recording.ts';

const SEED = 20_079;
const spec: EngineSpec = {
  seed: SEED,
  durationS: 3,
  sampleRateHz: 512,
  intakeAnglesDeg: [0, 270],
  rpm: 1000,
  cycleScatter: 0.008,
  depthScatter: 0.02,
  noiseKpa: 0.1,
  bits: 10,
};
const ENGINES: [string, Engine][] = [
  ['refill', refillEngine],
  ['fourier', fourierEngine],
];

interface Row {
  readonly timeS: number;
  readonly kpa: number[];
}

/** What may come in place of a row, or beside it. `at` and `channel` are shares of what there is. */
const damage = fc.oneof(
  fc.record({ kind: fc.constant('cell' as const), at: share(), channel: share(), value: noNumber() }),
  fc.record({ kind: fc.constant('stretch' as const), at: share(), length: share(), channel: share() }),
  fc.record({ kind: fc.constant('lost' as const), at: share(), length: share() }),
  fc.record({ kind: fc.constant('again' as const), at: share(), of: share() }),
  fc.record({ kind: fc.constant('swapped' as const), at: share(), of: share() }),
  fc.record({
    kind: fc.constant('time' as const),
    at: share(),
    value: fc.constantFrom(Number.NaN, Number.NEGATIVE_INFINITY, -1, 0),
  }),
);
type Damage = typeof damage extends fc.Arbitrary<infer T> ? T : never;

describe.each(ENGINES)('damaged rows of the %s engine', (_, engine) => {
  const recording = engine(spec);
  const { truth } = recording;
  const told = toldRecording(recording);

  it(`no damage whatever throws or puts a figure that is no number on the screen (seed ${SEED})`, () => {
    fc.assert(
      fc.property(fc.array(damage, { maxLength: 12 }), (damages) => {
        const rows = damages.reduce(withDamage, rowsOf(told));
        const instrument = new Instrument(told.setup);
        rows.forEach(({ timeS, kpa }, index) => {
          instrument.push(timeS, kpa);
          if (index % 64 === 0) expectNumbers(instrument.reading());
        });
        expectNumbers(instrument.reading());
        const columns = told.kpa.map((__, channel) => rows.map((row) => row.kpa[channel]!));
        const analysis = analyseRecording(
          rows.map((row) => row.timeS),
          columns,
          told.setup,
        );
        expect(nonFinite(analysis)).toEqual([]);
      }),
      { seed: SEED, numRuns: 25 },
    );
  });

  it('rows that repeat a time, run backwards or have none change nothing', () => {
    const random = seededRandom(SEED, 1);
    const [clean, dirty] = [new Instrument(told.setup), new Instrument(told.setup)];
    const rows = rowsOf(told);
    rows.forEach(({ timeS, kpa }, index) => {
      clean.push(timeS, kpa);
      const old = rows[random.index(Math.max(1, index))]!;
      if (index > 0 && random.uniform() < 0.1) dirty.push(old.timeS, [0, 200]);
      if (index > 0 && random.uniform() < 0.05) dirty.push(Number.NaN, kpa);
      if (index > 0 && random.uniform() < 0.05) dirty.push(rows[index - 1]!.timeS, [0, 200]);
      dirty.push(timeS, kpa);
    });
    expect(dirty.reading()).toEqual(clean.reading());
  });

  it('an infinite pressure is a missing sample and spoils nothing that comes after', () => {
    const columns = (worst: readonly number[]): Float64Array[] =>
      told.kpa.map((column, channel) => {
        const random = seededRandom(SEED, 2 + channel);
        return column.map((kpa) => (random.uniform() < 0.01 ? worst[random.index(worst.length)]! : kpa));
      });
    const infinite = analysed({
      ...told,
      kpa: columns([Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN]),
    });
    const missing = analysed({ ...told, kpa: columns([Number.NaN, Number.NaN, Number.NaN]) });
    expect(figuresApart(infinite, missing)).toEqual([]);
    const whole = analysed(told);
    infinite.cylinders.forEach((one, cylinder) => {
      expect(one.vacuumKpa!.mean).toBeCloseTo(whole.cylinders[cylinder]!.vacuumKpa!.mean, 0);
    });
    expect(infinite.idleRpm!.mean / whole.idleRpm!.mean).toBeCloseTo(1, 2);
  });

  it('one cell in twenty lost at random: nearly every cycle is still told, and to 0.05 kPa', () => {
    const random = seededRandom(SEED, 5);
    const holed = analysed({
      ...told,
      kpa: told.kpa.map((column) => column.map((kpa) => (random.uniform() < 0.05 ? Number.NaN : kpa))),
    });
    holed.cylinders.forEach((one, cylinder) => {
      const off = one.cycleTable
        .filter((row) => row.meanVacuumKpa !== null)
        .map((row) => row.meanVacuumKpa! - truth.meanVacuumKpa(cylinder, row.startS, row.endS));
      expect(off.length).toBeGreaterThan(20);
      expect(rootMeanSquare(off)).toBeLessThan(0.05);
    });
  });

  it('a column that never had a sample has no figure, and the other one has its own', () => {
    const empty = { ...told, kpa: [told.kpa[0]!, told.kpa[1]!.map(() => Number.NaN)] };
    const analysis = analysed(empty);
    expect(analysis.cylinders[1]).toMatchObject({ cycles: 0, vacuumKpa: null, pulseDepthKpa: null });
    expect(analysis.cylinders[1]).toMatchObject({ peakVacuumKpa: null, missedPulsesS: null, state: 'dead' });
    expect(analysis.gapsKpa).toEqual([null, null]);
    expect(analysis.spreadKpa).toBeNull();
    expect(analysis.cylinders[0]!.cycles).toBeGreaterThan(15);
    const instrument = new Instrument(empty.setup);
    for (const { timeS, kpa } of rowsOf(empty)) {
      instrument.push(timeS, kpa);
      expectNothing(instrument.reading(), 1);
    }
    expect(instrument.reading().cylinders[0]!.vacuumKpa).not.toBeNull();
    expect(instrument.reading().cylinders[1]!.sensor).toBe('dead');
  });
});

describe('nothing measured yet', () => {
  it.each([1, 4, 8])('%i cylinders: no row, one row or a few rows make no figure', (cylinders) => {
    const instrument = new Instrument(defaultEngineSetup(cylinders));
    expect(instrument.reading().timeS).toBeNull();
    for (let row = 0; row < 20; row++) {
      const reading = instrument.reading();
      expect(reading.engine).toEqual({ running: false, speedRpm: null, idleRpm: null, cycles: 0 });
      for (let cylinder = 0; cylinder < cylinders; cylinder++) expectNothing(reading, cylinder);
      expect(reading.cylinders).toHaveLength(cylinders);
      expect(reading).toMatchObject({ spreadKpa: null, spreadExpandedKpa: null, verdict: 'not-sure' });
      expect(reading.roughness.score).toBeNull();
      instrument.push(row / 500, new Float64Array(cylinders).fill(60 + row));
    }
  });

  it('an analysis of no rows, of one, and of a standing engine gives null and never 0', () => {
    const random = seededRandom(SEED, 9);
    const still = Float64Array.from({ length: 1500 }, () => 101.3 + 0.1 * random.normal());
    for (const rows of [0, 1, 2, 1500]) {
      const timeS = Float64Array.from({ length: rows }, (_, row) => row / 500);
      const column = still.slice(0, rows);
      const analysis = analyseRecording(timeS, [column, column], defaultEngineSetup(2));
      expect(analysis).toMatchObject({ engineCycles: 0, idleRpm: null, spreadKpa: null });
      expect(analysis.gapsKpa).toEqual([null, null]);
      expect(analysis.roughness).toMatchObject({ score: null, choppinessPercent: null, hunting: null });
      for (const one of analysis.cylinders) {
        expect(one).toMatchObject({ cycles: 0, vacuumKpa: null, peakVacuumKpa: null, missedPulsesS: null });
      }
    }
  });

  it('columns that do not fit the engine are misuse', () => {
    expect(() => analyseRecording([0], [[50]], defaultEngineSetup(2))).toThrow(RangeError);
  });
});

function share(): fc.Arbitrary<number> {
  return fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });
}

function noNumber(): fc.Arbitrary<number> {
  return fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0, -50, 250);
}

function rowsOf(told: ToldRecording): Row[] {
  return Array.from(told.timeS, (timeS, index) => ({ timeS, kpa: told.kpa.map((column) => column[index]!) }));
}

function withDamage(rows: Row[], one: Damage): Row[] {
  const at = Math.floor(one.at * rows.length);
  switch (one.kind) {
    case 'cell':
      return rows.map((row, index) =>
        index === at ? { ...row, kpa: put(row, one.channel, one.value) } : row,
      );
    case 'stretch': {
      const to = at + one.length * (rows.length - at);
      const inside = (index: number): boolean => index >= at && index < to;
      return rows.map((row, i) => (inside(i) ? { ...row, kpa: put(row, one.channel, Number.NaN) } : row));
    }
    case 'lost':
      return rows.filter((_, index) => index < at || index >= at + one.length * (rows.length - at));
    case 'again':
      return [...rows.slice(0, at), ...rows.slice(at * one.of, at), ...rows.slice(at)];
    case 'swapped': {
      const other = Math.floor(one.of * rows.length);
      return rows.map((row, index) => (index === at ? rows[other]! : index === other ? rows[at]! : row));
    }
    case 'time':
      return rows.map((row, index) => (index === at ? { ...row, timeS: one.value } : row));
  }
}

function put({ kpa }: Row, channel: number, value: number): number[] {
  const place = Math.floor(channel * kpa.length);
  return kpa.map((before, index) => (index === place ? value : before));
}

/** Of a row without a time the reading may not know when it is. */
function expectNumbers(reading: Reading): void {
  expect(nonFinite({ ...reading, timeS: null })).toEqual([]);
}

function expectNothing(reading: Reading, cylinder: number): void {
  const one = reading.cylinders[cylinder]!;
  expect(one).toMatchObject({ vacuumKpa: null, vacuumSdKpa: null, vacuumStandardErrorKpa: null });
  expect(one).toMatchObject({ vacuumExpandedKpa: null, gapKpa: null, gapExpandedKpa: null, cycles: 0 });
  expect(one).toMatchObject({ lastCycleKpa: null, peakVacuumKpa: null, pulseDepthKpa: null });
  expect(one).toMatchObject({ missedPulsesPerMinute: null, verdict: 'not-sure' });
}
