import { describe, expect, it } from 'vitest';
import { type BoardCalibration, uncalibratedBoard } from '../../calibration/board-calibration.ts';
import {
  type CalibrationStamp,
  withMatching,
  withSpan,
  withZero,
} from '../../calibration/calibrate-board.ts';
import { channelScale } from '../../calibration/counts-to-kpa.ts';
import { matchChannels } from '../../calibration/matching.ts';
import type { PressureRecord } from '../../calibration/pressure-record.ts';
import { readBoardCalibration } from '../../calibration/read-board-calibration.ts';
import { differenceUncertainty, readingUncertainty } from '../../calibration/reading-uncertainty.ts';
import { MPX4115A, MPXV6115V } from '../../calibration/sensor-types.ts';
import { fitSpan } from '../../calibration/span.ts';
import { zeroChannels } from '../../calibration/zero.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';
import { type FaultySensor, pumpRecord, randomSensor, recordOf, sensedKpa, USUAL_RUN } from './hand-pump.ts';

const AIR_KPA = 101;
const TYPES = [MPX4115A, MPX4115A, MPX4115A];
const STAMP: CalibrationStamp = {
  atMs: 1_700_000_000_000,
  technician: 'K. Test',
  temperatureCelsius: 20,
  expiresAtMs: 1_730_000_000_000,
};
const CONDITIONS = { types: TYPES, temperatureCelsius: 20 };
const RUN = { ...USUAL_RUN, sampleRateHz: 100, holdS: 2.5, moveS: 0.5 };

function corrected(board: BoardCalibration, record: PressureRecord): PressureRecord {
  const absoluteKpa = record.absoluteKpa.map((column, channel) => {
    const { gain, offsetKpa } = board.channels[channel]!;
    return Float64Array.from(column, (kpa) => gain * kpa + offsetKpa);
  });
  return { ...record, absoluteKpa };
}

function readAll(board: BoardCalibration, sensors: readonly FaultySensor[], trueKpa: number): number[] {
  return board.channels.map(
    ({ gain, offsetKpa }, channel) => gain * sensedKpa(sensors[channel]!, trueKpa) + offsetKpa,
  );
}

class Bench {
  readonly random: SeededRandom;
  readonly sensors: readonly FaultySensor[];
  board: BoardCalibration = uncalibratedBoard('BENCH', TYPES, AIR_KPA);

  constructor(seed: number) {
    this.random = seededRandom(seed, 51);
    this.sensors = TYPES.map((type) => randomSensor(type, this.random, 0.1));
  }

  zero(uncertaintyKpa: number): this {
    const barometric = {
      kpa: AIR_KPA + uncertaintyKpa * this.random.normal(),
      standardUncertaintyKpa: uncertaintyKpa,
    };
    const record = recordOf(this.sensors, () => AIR_KPA, 250, 100, 1023, this.random);
    const zeroing = zeroChannels(corrected(this.board, record), barometric, TYPES);
    if (!zeroing.ok) throw new Error(zeroing.code);
    this.board = withZero(this.board, zeroing, STAMP);
    return this;
  }

  match(): this {
    const matching = matchChannels(corrected(this.board, pumpRecord(this.sensors, RUN, this.random)));
    if (!matching.ok) throw new Error(`${matching.code} ${matching.detail}`);
    this.board = withMatching(this.board, matching, TYPES, AIR_KPA, STAMP);
    return this;
  }

  /** Against a gauge with limits of error that are used up somewhere between. */
  span(limitKpa: number): this {
    const low = this.random.between(-limitKpa, limitKpa);
    const high = this.random.between(-limitKpa, limitKpa);
    const points = [25, 40, 60, 80, 95].map((kpa) => {
      const readings = readAll(this.board, this.sensors, kpa);
      return {
        readingKpa: readings.reduce((sum, value) => sum + value, 0) / readings.length,
        readingUncertaintyKpa: 0.02,
        referenceKpa: kpa + low + ((high - low) * kpa) / 100 + 0.1 * this.random.normal(),
        referenceUncertaintyKpa: 0.1,
      };
    });
    const gauge = { lowestKpa: 0, highestKpa: 100, statedKpa: limitKpa, stated: 'limits' } as const;
    const fit = fitSpan(points, gauge);
    if (!fit.ok) throw new Error(fit.code);
    this.board = withSpan(this.board, fit, STAMP);
    return this;
  }
}

/** Share of benches whose stated uncertainty covers the error of a reading, and of a difference, at 40 kPa. */
function coverage(prepare: (bench: Bench) => Bench, benches = 250) {
  let reading = 0;
  let difference = 0;
  let squares = 0;
  for (let seed = 1; seed <= benches; seed++) {
    const { board, sensors } = prepare(new Bench(seed));
    const found = readAll(board, sensors, 40);
    if (Math.abs(found[0]! - 40) <= 2 * readingUncertainty(board, 0, 40, CONDITIONS)) reading++;
    const apart = found[0]! - found[2]!;
    squares += apart ** 2;
    if (Math.abs(apart) <= 2 * differenceUncertainty(board, 0, 2, found, CONDITIONS)) difference++;
  }
  return {
    reading: reading / benches,
    difference: difference / benches,
    differenceKpa: 2 * Math.sqrt(squares / benches),
  };
}

describe('what a board’s calibration claims holds (250 benches each, seeds 1 to 250)', () => {
  // Errors from the data sheet and a gauge are bounded, not normal: 2 u covers more than 95 % of them.
  it('by the data sheet alone', () => {
    const found = coverage((bench) => bench);
    expect(found.reading).toBeGreaterThan(0.95);
    expect(found.difference).toBeGreaterThan(0.95);
  });

  it('after a zero: differences shrink from near 2 kPa to what the gains still differ by', () => {
    const found = coverage((bench) => bench.zero(0.15));
    expect(found.reading).toBeGreaterThan(0.93);
    expect(found.difference).toBeGreaterThan(0.93);
    expect(found.difference).toBeLessThan(0.99);
  });

  it('after a zero and a matching: differences under 0.15 kPa, the mean still on the barometer’s scale', () => {
    const found = coverage((bench) => bench.zero(0.15).match());
    expect(found.reading).toBeGreaterThan(0.93);
    expect(found.difference).toBeGreaterThan(0.92);
    expect(found.difference).toBeLessThan(0.98);
    expect(found.differenceKpa).toBeLessThan(0.05);
  });

  it('after a matching and a later zero', () => {
    const found = coverage((bench) => bench.match().zero(0.15));
    expect(found.reading).toBeGreaterThan(0.93);
    expect(found.difference).toBeGreaterThan(0.92);
    expect(found.difference).toBeLessThan(0.98);
    expect(found.differenceKpa).toBeLessThan(0.08);
  });

  it('after a matching and a span against a gauge of 0.5 kPa', () => {
    const found = coverage((bench) => bench.match().span(0.5));
    expect(found.reading).toBeGreaterThan(0.93);
    expect(found.reading).toBeLessThan(0.99);
    expect(found.difference).toBeGreaterThan(0.92);
    expect(found.difference).toBeLessThan(0.98);
  });

  it('after all of it, done twice', () => {
    const found = coverage((bench) => bench.zero(0.1).match().span(0.5).zero(0.1).match(), 200);
    expect(found.reading).toBeGreaterThan(0.92);
    expect(found.difference).toBeGreaterThan(0.92);
    expect(found.difference).toBeLessThan(0.985);
  });
});

describe('the uncertainty of a reading', () => {
  it('of an uncalibrated sensor is its error band as a rectangular distribution, wider in the cold', () => {
    const board = uncalibratedBoard('A', TYPES, AIR_KPA);
    expect(readingUncertainty(board, 0, 40, CONDITIONS)).toBeCloseTo(1.5 / Math.sqrt(3), 12);
    const cold = { types: TYPES, temperatureCelsius: -20 };
    expect(readingUncertainty(board, 0, 40, cold)).toBeCloseTo((2 * 1.5) / Math.sqrt(3), 12);
    expect(differenceUncertainty(board, 0, 1, [40, 40, 40], CONDITIONS)).toBeCloseTo(
      1.5 * Math.sqrt(2 / 3),
      12,
    );
    // Against the mean of three: variance (1 - 1/3)² + 2/9 of a single one.
    expect(differenceUncertainty(board, 0, 'mean', [40, 40, 40], CONDITIONS)).toBeCloseTo(
      (1.5 / Math.sqrt(3)) * Math.sqrt(6 / 9),
      12,
    );
  });

  it('after matching alone is no better than the data sheet, but its difference is ten times better', () => {
    const { board } = new Bench(3).match();
    expect(readingUncertainty(board, 1, 40, CONDITIONS)).toBeGreaterThanOrEqual(1.5 / Math.sqrt(3));
    expect(differenceUncertainty(board, 0, 1, [40, 40, 40], CONDITIONS)).toBeLessThan(0.05);
    expect(differenceUncertainty(board, 0, 0, [40, 40, 40], CONDITIONS)).toBe(0);
  });

  it('of a difference grows with the difference itself by the doubt of the common scale', () => {
    const { board } = new Bench(4).match();
    const level = differenceUncertainty(board, 0, 1, [40, 40, 40], CONDITIONS);
    const apart = differenceUncertainty(board, 0, 1, [50, 40, 40], CONDITIONS);
    // 10 kPa x 1.5 kPa x √(2/3) / 100 kPa
    expect(apart).toBeGreaterThan(0.1);
    expect(apart).toBeCloseTo(Math.hypot(level, 0.1225), 2);
  });

  it('grows with the warmth since the calibration, and assumes five kelvin where none is known', () => {
    const { board } = new Bench(5).zero(0.1).match();
    const at = (temperatureCelsius: number | null): number =>
      differenceUncertainty(board, 0, 1, [40, 40, 40], { types: TYPES, temperatureCelsius });
    expect(at(30)).toBeCloseTo(Math.hypot(at(20), (1.5 * (10 / 85) * Math.SQRT2) / Math.sqrt(3)), 6);
    expect(at(null)).toBeCloseTo(at(25), 10);
    expect(at(10)).toBeCloseTo(at(30), 10);
    expect(2 * at(null)).toBeLessThan(0.15);
    // Below 0 °C the band itself widens.
    expect(at(-20)).toBeGreaterThan(at(60));
  });

  it('of a channel that was left out of the matching stays its data sheet’s', () => {
    const bench = new Bench(6);
    const record = pumpRecord(bench.sensors.slice(0, 2), RUN, bench.random);
    const matching = matchChannels(record);
    if (!matching.ok) throw new Error(matching.code);
    const board = withMatching(bench.board, matching, TYPES, AIR_KPA, STAMP, [0, 1]);
    expect(board.channels[2]).toEqual(bench.board.channels[2]);
    expect(differenceUncertainty(board, 0, 1, [40, 40], CONDITIONS)).toBeLessThan(0.05);
    expect(differenceUncertainty(board, 0, 2, [40, 40, 40], CONDITIONS)).toBeGreaterThan(0.86);
    expect(() => withMatching(bench.board, matching, TYPES, AIR_KPA, STAMP, [0, 5])).toThrow(RangeError);
    expect(() => withMatching(bench.board, matching, TYPES, AIR_KPA, STAMP)).toThrow(RangeError);
  });
});

describe('a board’s calibration', () => {
  it('works on counts as it works on kilopascals', () => {
    const { board, sensors } = new Bench(7).zero(0.1).match();
    const { gain, offsetKpa } = board.channels[0]!;
    const scale = channelScale(MPX4115A, 1023, { gain, offsetKpa });
    const sensed = sensedKpa(sensors[0]!, 40);
    const count = 1023 * (0.009 * sensed - 0.095);
    expect(scale.offsetKpa + scale.kpaPerCount * count).toBeCloseTo(gain * sensed + offsetKpa, 10);
  });

  it('names what it rests on, when, by whom and until when', () => {
    const { board } = new Bench(8).zero(0.1).match().zero(0.1);
    expect(board.channels[1]).toMatchObject({
      boardId: 'BENCH',
      channel: 1,
      sensorType: 'MPX4115A',
      kinds: ['zero', 'matching'],
      calibratedAtMs: STAMP.atMs,
      technician: 'K. Test',
      temperatureCelsius: 20,
      expiresAtMs: STAMP.expiresAtMs,
    });
    expect(board.channels[1]!.residualSdKpa).toBeGreaterThan(0);
  });

  it('counts the range of a gauge sensor from the air', () => {
    const board = uncalibratedBoard('A', [MPXV6115V], 100, ['S-17']);
    expect(board.channels[0]!.sensorSerial).toBe('S-17');
    const { gain, offset, gainOffset } = board.channels[0]!.covariance;
    const at = (kpa: number): number => Math.sqrt(gain * kpa ** 2 + 2 * gainOffset * kpa + offset);
    expect(at(100)).toBeCloseTo(1.725 / Math.sqrt(3), 12);
    expect(at(-15)).toBeCloseTo(1.725 / Math.sqrt(3), 12);
  });

  it('comes back from JSON as it was', () => {
    for (const board of [
      new Bench(9).board,
      new Bench(9).zero(0.1).board,
      new Bench(9).zero(0.1).match().span(0.5).board,
    ]) {
      expect(readBoardCalibration(JSON.parse(JSON.stringify(board)))).toEqual({ ok: true, board });
    }
  });

  it('is refused when any field of it is damaged', () => {
    const { board } = new Bench(10).zero(0.1).match();
    const damaged: [string, (copy: Record<string, unknown>) => void][] = [
      ['boardId', (copy) => Object.assign(copy, { boardId: '' })],
      ['channels', (copy) => Object.assign(copy, { channels: [] })],
      ['channels', (copy) => Object.assign(copy, { channels: 'none' })],
      ['covariance', (copy) => Object.assign(copy, { covariance: [[1]] })],
      ['covariance', (copy) => ((copy.covariance as number[][])[0]![1] = 5)],
      ['covariance', (copy) => ((copy.covariance as number[][])[0]![0] = -1)],
      ['covariance', (copy) => ((copy.covariance as unknown[][])[2]![2] = null)],
    ];
    const fields = {
      boardId: 'OTHER',
      channel: 2,
      sensorType: 7,
      sensorSerial: '',
      gain: 0,
      offsetKpa: 1e6,
      residualSdKpa: -1,
      curvatureSdKpa: null,
      kinds: ['guess'],
      calibratedAtMs: 'yesterday',
      technician: 5,
      temperatureCelsius: Number.NaN,
      expiresAtMs: true,
    };
    for (const [field, value] of Object.entries(fields))
      damaged.push([field, (copy) => Object.assign((copy.channels as object[])[1]!, { [field]: value })]);
    for (const [field, damage] of damaged) {
      const copy = structuredClone(board) as unknown as Record<string, unknown>;
      damage(copy);
      const found = readBoardCalibration(copy);
      expect(found.ok, field).toBe(false);
      if (!found.ok) expect(found.reason).toContain(field);
    }
    for (const nothing of [null, undefined, 3, 'text', []])
      expect(readBoardCalibration(nothing).ok).toBe(false);
  });
});
