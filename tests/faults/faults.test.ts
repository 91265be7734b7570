import { afterAll, describe, expect, test } from 'vitest';
import { runSchedule } from './fault-schedule.ts';
import { FAULTS } from './faults.ts';
import { isWhole, wrongFigure } from './figure-judge.ts';
import { JudgedBench, RIGHT_WITHIN_MS } from './judged-bench.ts';

/** `IDLEWRIGHT_FAULT_SCHEDULES=2000` runs that many; so does `npm run bench -- --only faults`. */
const SCHEDULES = Number(process.env.IDLEWRIGHT_FAULT_SCHEDULES ?? 60);
const FIRST_SEED = 1;
const PER_TEST = 10;

describe('faults between board and screen', () => {
  const befallen = new Map<string, number>();

  for (let first = FIRST_SEED; first < FIRST_SEED + SCHEDULES; first += PER_TEST) {
    const last = Math.min(first + PER_TEST, FIRST_SEED + SCHEDULES) - 1;
    test(`no wrong figure is shown, and all are right again within 2 s of good data (seeds ${first} to ${last})`, async () => {
      for (let seed = first; seed <= last; seed++) {
        const { broken, outcomes, judgedMessages } = await runSchedule(seed);
        expect(broken, `seed ${seed}`).toEqual([]);
        expect(judgedMessages, `seed ${seed}`).toBeGreaterThan(20);
        for (const { fault, rightAfterMs } of outcomes) {
          expect(rightAfterMs, `seed ${seed}, ${fault}`).toBeLessThanOrEqual(RIGHT_WITHIN_MS);
          befallen.set(fault, (befallen.get(fault) ?? 0) + 1);
        }
      }
    });
  }

  afterAll(() => {
    // Four faults a schedule out of eighteen: in sixty schedules each comes thirteen times on average.
    if (SCHEDULES >= 60)
      for (const { name } of FAULTS) expect(befallen.get(name) ?? 0, name).toBeGreaterThan(0);
  });

  test.each([
    [1820, 'a pulse of another length found in what a hole had left of one'],
    [500_147, 'the speed of a cycle whose pulses were bridged in straight lines'],
    [500_163, 'the same while bytes are altered'],
  ])('what was shown wrong once stays mended (seed %i: %s)', async (seed) => {
    const { broken, judgedMessages } = await runSchedule(seed);
    expect(broken).toEqual([]);
    expect(judgedMessages).toBeGreaterThan(20);
  });

  test('a line that the cable altered so that its checksum fits is told from a line that the service made up (seed 1455)', async () => {
    const { broken, slippedRows, slippedLines } = await runSchedule(1_455);
    expect(broken).toEqual([]);
    expect({ slippedRows, slippedLines }).toEqual({ slippedRows: 1, slippedLines: 1 });
  });

  test('a cable pulled after any byte of a line leaves no figure and no half line behind (seed 7)', async () => {
    const bench = new JudgedBench(7);
    const { workshop } = bench;
    await bench.untilRight(10_000);
    // The longest line here is that of four channels with its checksum: shorter than this.
    for (let bytes = 0; bytes <= 64; bytes++) {
      bench.doing = `pulled after ${bytes} bytes`;
      workshop.unplug(bench.path, bytes);
      expect(isWhole(workshop.update)).toBe(false);
      await bench.pass(60);
      bench.board.engine = bench.engines[bytes % 2]!;
      workshop.plugIn(bench.path, bench.board);
      expect(await bench.untilRight(4_000)).toBeLessThanOrEqual(RIGHT_WITHIN_MS);
    }
    await bench.stop();
    expect(bench.broken).toEqual([]);
    expect(workshop.session.source.counters['wrong-checksum'] ?? 0).toBe(0);
  });

  test('the judge itself sees a stale figure, an octave and a swapped engine (seed 3)', async () => {
    const bench = new JudgedBench(3);
    await bench.untilRight(10_000);
    await bench.pass(2_000);
    await bench.stop();
    const update = bench.workshop.update!;
    const [engine, other] = bench.engines;
    const shown = {
      ...update,
      cylinders: update.cylinders.map((one, cyl) => ({
        ...one,
        vacuumKpa: engine.vacuumKpa[cyl]!,
        gapKpa: engine.gapsKpa[cyl]!,
        lastCycleKpa: null,
        gapExpandedKpa: 0.1,
        vacuumExpandedKpa: 0.1,
        cycles: 20,
      })),
      engine: { ...update.engine, speedRpm: engine.slowestRpm, idleRpm: null },
    };
    expect(wrongFigure(shown, engine)).toBeNull();
    expect(wrongFigure(shown, other)).not.toBeNull();
    expect(
      wrongFigure({ ...shown, engine: { ...shown.engine, speedRpm: engine.slowestRpm / 2 } }, engine),
    ).toContain('speed');
    expect(
      wrongFigure(
        { ...shown, cylinders: shown.cylinders.map((one) => ({ ...one, gapKpa: one.gapKpa + 0.8 })) },
        engine,
      ),
    ).toContain('gap');
  });
});
