import { describe, expect, test } from 'vitest';
import { PracticeBench } from '../../../server/practice/practice-bench.ts';
import { BoardWatch, MOST_LINK_STATES } from '../../../server/session/board-watch.ts';
import { SampleNoise } from '../../../server/session/sample-noise.ts';
import { seededRandom } from '../../engines/seeded-random.ts';
import { BOARD } from './session-bench.ts';

describe('noise of single samples', () => {
  test.each([0.05, 0.12, 0.3])('of %d kPa is found behind a running engine, seed 9', (noiseKpa) => {
    const bench = new PracticeBench({
      layout: 'twin-360',
      seed: 9,
      taps: { lagS: 0.002, noiseKpa },
      fullScaleCounts: null,
    });
    const noise = new SampleNoise();
    for (const { kpa } of bench.advance(3)) noise.push(kpa[0]!);
    expect(noise.sd()! / noiseKpa).toBeGreaterThan(0.85);
    expect(noise.sd()! / noiseKpa).toBeLessThan(1.4);
  });

  test('is the standard deviation itself of plain noise on a ramp, and a hole is no noise (seed 10)', () => {
    const random = seededRandom(10);
    const noise = new SampleNoise();
    for (let row = 0; row < 1_000; row++) {
      if (row === 500) noise.break();
      noise.push((row < 500 ? 0 : 50) + 0.01 * row + 0.2 * random.normal());
    }
    // A thousand values whose differences hang together: 5 % standard error.
    expect(Math.abs(noise.sd()! - 0.2)).toBeLessThan(0.03);
  });

  test('is not known from a few samples', () => {
    const noise = new SampleNoise();
    for (let row = 0; row < 20; row++) noise.push(row % 2);
    expect(noise.sd()).toBeNull();
  });
});

describe('the watch on the board', () => {
  const watched = () => {
    let wallMs = 1_000;
    const counters: Record<string, number> = { 'lost-samples': 3, 'bad-checksum': 2 };
    const watch = new BoardWatch({ wallMs: () => wallMs++, counters: () => counters });
    watch.onBoard(BOARD);
    let ticks = 0;
    const samples = (count: number, intervalTicks: (row: number) => number, startMs = 0, everyMs = 2) => {
      for (let row = 0; row < count; row++) {
        ticks += intervalTicks(row);
        const taken = { order: 'next', use: true, missing: 0, timeTicks: ticks } as const;
        const line = { kind: 'sample', sequence: row, timeTicks: ticks, counts: [1, 2] } as const;
        watch.onSample(line, taken, [40 + (row % 2), Number.NaN], startMs + row * everyMs);
      }
    };
    return { watch, samples };
  };

  test('tells rate, jitter, noise, temperature and counters', () => {
    const { watch, samples } = watched();
    expect(watch.health()).toMatchObject({ arrivingHz: null, jitterUs: null, samples: 0 });
    // Two thousand ticks of a microsecond, every other one a hundred longer, then shorter: 100 µs either way.
    samples(6_000, (row) => (row % 2 === 0 ? 2_100 : 1_900));
    watch.onAmbient({ kind: 'ambient', pressurePa: 100_600, temperatureCelsius: 21.5 });
    const health = watch.health();
    expect(health).toMatchObject({
      boardId: 'bench-1',
      firmwareVersion: '1.2',
      sampleRateHz: 500,
      samples: 6_000,
      lostSamples: 3,
      temperatureCelsius: 21.5,
      barometerKpa: 100.6,
      counters: { 'bad-checksum': 2 },
    });
    expect(health.arrivingHz).toBeCloseTo(500, 6);
    expect(health.jitterUs).toBeCloseTo(100, 0);
    expect(health.channels[1]).toEqual({
      channel: 2,
      sensorType: 'MPX4115A',
      noiseKpa: null,
      newestKpa: null,
    });
    expect(health.channels[0]?.newestKpa).toBe(41);
  });

  test('begins anew after a break and with another board', () => {
    const { watch, samples } = watched();
    samples(6_000, () => 2_000);
    watch.onBreak();
    expect(watch.health()).toMatchObject({ arrivingHz: null, channels: [{ newestKpa: null }, {}] });
    watch.onBoard({ ...BOARD, boardId: 'bench-2', sensorTypes: ['MPX4115A'] });
    expect(watch.health()).toMatchObject({ boardId: 'bench-2', jitterUs: null, temperatureCelsius: null });
    expect(watch.health().channels).toHaveLength(1);
  });

  test('keeps what the link went through, the same once, and no more than it needs', () => {
    const { watch } = watched();
    const state = (phase: 'opening' | 'live' | 'lost', errorCode: 'source-unplugged' | null = null) =>
      watch.onLinkState({
        phase,
        errorCode,
        baudRates: [],
        baudIndex: 0,
        identity: null,
        failures: 0,
        badLines: 0,
        heardGoodLine: false,
        idleWatches: 0,
      });
    state('opening');
    state('live');
    for (let tries = 0; tries < 5; tries++) {
      state('lost', 'source-unplugged');
      state('opening', 'source-unplugged');
    }
    state('live');
    expect(watch.health().linkHistory.map(({ phase }) => phase)).toEqual(['live', 'lost', 'live', 'opening']);
    expect(watch.health().linkHistory[1]?.sentence).toMatch(/Put the cable back/);
    for (let turn = 0; turn < MOST_LINK_STATES; turn++) {
      state('lost');
      state('live');
    }
    expect(watch.health().linkHistory).toHaveLength(MOST_LINK_STATES);
  });
});
