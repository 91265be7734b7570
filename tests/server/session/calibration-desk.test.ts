import { describe, expect, test } from 'vitest';
import type { BoardCalibration } from '../../../calibration/board-calibration.ts';
import { CalibrationDesk, SPAN_RECORD_S, ZERO_RECORD_S } from '../../../server/session/calibration-desk.ts';
import { LONGEST_RECORD_S } from '../../../server/session/calibration-recording.ts';
import { sensedKpa } from '../../calibration/hand-pump.ts';
import { PumpedBoard, type Sample } from './pumped-board.ts';

const AIR = { kpa: 100.8, standardUncertaintyKpa: 0.1 };
const STAMP = { atMs: 1, technician: 'K. Test', temperatureCelsius: 20, expiresAtMs: null };
const ALL = [0, 1, 2];

function give(desk: CalibrationDesk, samples: readonly Sample[]): void {
  for (const { timeTicks, counts } of samples) desk.take(timeTicks, counts);
}

/** What the channels make of a true pressure with the board's calibration [kPa]. */
function read(board: BoardCalibration, bench: PumpedBoard, trueKpa: number): number[] {
  return board.channels.map(
    ({ gain, offsetKpa }, channel) => gain * sensedKpa(bench.sensors[channel]!, trueKpa) + offsetKpa,
  );
}

function matched(seed: number, samples: (bench: PumpedBoard) => Sample[], channels: readonly number[] = ALL) {
  const bench = new PumpedBoard(seed);
  const desk = new CalibrationDesk(bench.board());
  desk.startMatching(channels, 101);
  give(desk, samples(bench));
  desk.finish();
  return { bench, desk };
}

describe('a zero', () => {
  test('ends by itself after three seconds and makes every channel read the air pressure (seed 3)', () => {
    const bench = new PumpedBoard(3);
    const desk = new CalibrationDesk(bench.board());
    desk.startZero(AIR);
    give(desk, bench.still(AIR.kpa, ZERO_RECORD_S - 0.1));
    expect(desk.phase).toBe('recording');
    give(desk, bench.still(AIR.kpa, 0.2));
    expect(desk.phase).toBe('proposed');
    const board = desk.proposed(STAMP)!;
    for (const kpa of read(board, bench, AIR.kpa)) expect(kpa).toBeCloseTo(AIR.kpa, 1);
    expect(board.channels[0]).toMatchObject({ kinds: ['zero'], technician: 'K. Test', calibratedAtMs: 1 });
    expect(desk.samples().timeTicks.length).toBeGreaterThan(ZERO_RECORD_S * bench.sampleRateHz - 5);
  });

  test('is refused while the engine runs, with what to do, and nothing is proposed (seed 4)', () => {
    const bench = new PumpedBoard(4);
    const desk = new CalibrationDesk(bench.board());
    desk.startZero(AIR);
    for (let cycle = 0; cycle < 40; cycle++) give(desk, bench.still(cycle % 2 === 0 ? 95 : 60, 0.1));
    expect(desk.phase).toBe('refused');
    expect(desk.refusal?.code).toBe('zero-moving');
    expect(desk.proposed(STAMP)).toBeNull();
  });

  test('counts its three seconds anew after a hole in the samples (seed 5)', () => {
    const bench = new PumpedBoard(5);
    const desk = new CalibrationDesk(bench.board());
    desk.startZero(AIR);
    give(desk, bench.still(AIR.kpa, 2));
    desk.break();
    give(desk, bench.still(AIR.kpa, 2));
    expect(desk.phase).toBe('recording');
    expect(desk.recordedS).toBeCloseTo(2, 1);
  });

  test('names the channel that is off its data sheet by its place on the board (seed 6)', () => {
    const bench = new PumpedBoard(6);
    const desk = new CalibrationDesk(bench.board());
    desk.startZero(AIR);
    give(desk, bench.still([AIR.kpa, AIR.kpa, 80], ZERO_RECORD_S + 0.1));
    expect(desk.refusal).toMatchObject({ code: 'zero-implausible', channel: 2 });
  });
});

describe('a matching', () => {
  test('finds the steps while they are pulled, and brings the channels together (seed 11)', () => {
    const bench = new PumpedBoard(11);
    const desk = new CalibrationDesk(bench.board());
    desk.startMatching(ALL, 101);
    const seen: number[] = [];
    for (const sample of bench.pump()) {
      give(desk, [sample]);
      const found = desk.steps().length;
      if (found !== seen.at(-1)) seen.push(found);
    }
    expect(seen.at(-1)).toBe(7);
    expect(desk.steps()[4]?.meanKpa).toBeCloseTo(30, -0.5);
    expect(desk.finish()).toBe(true);
    expect(desk.phase).toBe('proposed');
    const board = desk.proposed(STAMP)!;
    for (const trueKpa of [30, 45, 60, 80]) {
      const readings = read(board, bench, trueKpa);
      expect(Math.max(...readings) - Math.min(...readings)).toBeLessThan(0.15);
    }
    const before = read(desk.board.before, bench, 45);
    expect(Math.max(...before) - Math.min(...before)).toBeGreaterThan(0.3);
  });

  test('of some of the hoses leaves the others as they were (seed 12)', () => {
    const { desk } = matched(
      12,
      (bench) => bench.pump({}, (kpa, channel) => (channel === 1 ? 101 : kpa)),
      [0, 2],
    );
    expect(desk.phase).toBe('proposed');
    const board = desk.proposed(STAMP)!;
    expect(board.channels[1]).toEqual(desk.board.before.channels[1]);
    expect(board.channels[2]?.kinds).toEqual(['matching']);
  });

  test.each([
    ['too few steps', { stepsKpa: [100, 60, 60.5] }, 'match-too-few-steps'],
    ['steps too close together', { stepsKpa: [100, 95, 90, 85, 80] }, 'match-span-too-small'],
    ['a source that leaks', { leakKpaS: 3 }, 'match-source-drifts'],
  ])('is refused for %s (seed 13)', (_title, run, code) => {
    const { desk } = matched(13, (bench) => bench.pump(run));
    expect(desk.refusal?.code).toBe(code);
    expect(desk.phase).toBe('refused');
  });

  test('of a hose that is not on the source names its channel on the board (seed 14)', () => {
    const { desk } = matched(
      14,
      (bench) => bench.pump({}, (kpa, channel) => (channel === 2 ? 101 : kpa)),
      [0, 1, 2],
    );
    expect(desk.refusal).toMatchObject({ code: 'match-channel-apart', channel: 2 });
  });

  test('goes on over a hole in the samples (seed 15)', () => {
    const bench = new PumpedBoard(15);
    const desk = new CalibrationDesk(bench.board());
    desk.startMatching(ALL, 101);
    const samples = bench.pump();
    give(desk, samples.slice(0, 700));
    desk.break();
    give(desk, samples.slice(860));
    desk.finish();
    expect(desk.phase).toBe('proposed');
  });

  test('that nobody ends fills no memory (seed 16)', () => {
    const bench = new PumpedBoard(16);
    const desk = new CalibrationDesk(bench.board());
    desk.startMatching(ALL, 101);
    give(desk, bench.still(100, LONGEST_RECORD_S + 30));
    expect(desk.recordedS).toBeCloseTo(LONGEST_RECORD_S, 1);
  });

  test('that is discarded leaves nothing behind (seed 17)', () => {
    const { desk } = matched(17, (bench) => bench.pump());
    desk.discard();
    expect(desk).toMatchObject({ phase: 'idle', kind: null, finding: null });
    expect(desk.proposed(STAMP)).toBeNull();
    expect(desk.finish()).toBe(false);
  });
});

describe('a span', () => {
  const gauge = { lowestKpa: 0, highestKpa: 101, statedKpa: 0.2, stated: 'limits' } as const;

  test('moves all channels to the scale of the gauge (seed 21)', () => {
    const bench = new PumpedBoard(21);
    const desk = new CalibrationDesk(bench.board());
    desk.startSpan(ALL, 101, { gauge, zero: null });
    expect(desk.takeReading(30, 0.05)).toBe(true);
    expect(desk.takeReading(30, 0.05)).toBe(false);
    give(desk, bench.still(30, SPAN_RECORD_S + 0.1));
    for (const kpa of [55, 80, 100]) {
      desk.takeReading(kpa, 0.05);
      give(desk, bench.still(kpa, SPAN_RECORD_S + 0.1));
    }
    expect(desk.points.length).toBe(4);
    expect(desk.finish()).toBe(true);
    const board = desk.proposed(STAMP)!;
    for (const kpa of [35, 70]) {
      const readings = read(board, bench, kpa);
      expect(readings.reduce((sum, one) => sum + one, 0) / readings.length).toBeCloseTo(kpa, 0.8);
    }
    expect(desk.samples().timeTicks.length).toBeGreaterThan(4 * SPAN_RECORD_S * bench.sampleRateHz - 20);
  });

  test('keeps the readings when there are too few, so that more can follow (seed 22)', () => {
    const bench = new PumpedBoard(22);
    const desk = new CalibrationDesk(bench.board());
    desk.startSpan(ALL, 101, { gauge, zero: null });
    desk.takeReading(40, 0.05);
    give(desk, bench.still(40, SPAN_RECORD_S + 0.1));
    desk.finish();
    expect(desk).toMatchObject({ phase: 'waiting', refusal: { code: 'span-too-few-points' } });
    expect(desk.points.length).toBe(1);
  });

  test('takes no reading of a pressure that moves meanwhile (seed 23)', () => {
    const bench = new PumpedBoard(23);
    const desk = new CalibrationDesk(bench.board());
    desk.startSpan(ALL, 101, { gauge, zero: null });
    desk.takeReading(40, 0.05);
    for (let step = 0; step < 25; step++) give(desk, bench.still(40 + step / 8, 0.1));
    expect(desk.points).toEqual([]);
    expect(desk).toMatchObject({ phase: 'waiting', refusal: { code: 'match-source-drifts' } });
  });
});
