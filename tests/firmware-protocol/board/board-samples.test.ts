import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { encodeCommand } from '../../../firmware-protocol/encode-command.ts';
import type { IdentityLine } from '../../../firmware-protocol/lines.ts';
import { BENCH_EEPROM, START_S } from './bench-eeprom.ts';
import { EmulatedBoard } from './emulated-board.ts';
import type { ImageName } from './firmware-image.ts';
import { loadFirmwareImage } from './firmware-image.ts';
import { ReceivedLines } from './received-lines.ts';

const SUPPLY_V = 5;
const SEED = 602_214;

function board(
  voltageAt: (channel: number, timeS: number) => number,
  name: ImageName = 'board-4.hex',
  rateHz: number | null = null,
) {
  const received = new ReceivedLines();
  const emulated = new EmulatedBoard({
    image: loadFirmwareImage(name),
    voltageAt,
    onByte: received.onByte,
    eeprom: BENCH_EEPROM,
    multiplexed: name === 'board-8-multiplexed.hex',
  });
  emulated.run(START_S);
  if (rateHz !== null) emulated.send(encodeCommand({ kind: 'rate', sampleRateHz: rateHz }));
  emulated.run(0.05);
  received.clear();
  return { emulated, received };
}

function identify(emulated: EmulatedBoard, received: ReceivedLines): IdentityLine {
  emulated.send(encodeCommand({ kind: 'identify' }));
  emulated.run(0.02);
  return received.identities.at(-1)!;
}

describe('counts', () => {
  test.each([0, 0.2, 1.234, 2.5, 3.777, 4.7, 5])(
    'of %s V are the voltage as a share of the supply',
    (volts) => {
      const { emulated, received } = board(() => volts);
      emulated.run(0.1);
      // ATmega328P datasheet: ADC = V x 1024 / Vref, cut off, at most 1023; four of them make 4096 of full scale.
      const one = Math.min(1_023, Math.floor((volts / SUPPLY_V) * 1_024));
      for (const sample of received.samples)
        expect(sample.counts).toEqual([one * 4, one * 4, one * 4, one * 4]);
      expect(received.samples.length).toBeGreaterThan(45);
    },
  );

  test.each<[ImageName, number]>([
    ['board-4.hex', 4],
    ['board-8-multiplexed.hex', 8],
  ])('%s: each channel shows its own sensor', (name, channels) => {
    const { emulated, received } = board((channel) => 0.5 + channel * 0.5, name);
    emulated.run(0.1);
    const expected = Array.from(
      { length: channels },
      (_, at) => 4 * Math.floor(((0.5 + at * 0.5) / SUPPLY_V) * 1_024),
    );
    for (const sample of received.samples) expect(sample.counts).toEqual(expected);
    expect(received.samples.length).toBeGreaterThan(45);
    expect(received.bad.total()).toBe(0);
  });

  test.each([31, 125, 250, 500, 1_000, 2_000])(
    'keep their full scale at %i samples/s, however many conversions are averaged',
    (rateHz) => {
      const { emulated, received } = board(() => 3.1, 'board-4.hex', rateHz);
      emulated.run(0.3);
      const one = Math.floor((3.1 / SUPPLY_V) * 1_024);
      expect(received.samples.length).toBeGreaterThan(8);
      for (const sample of received.samples)
        expect(sample.counts).toEqual([one * 4, one * 4, one * 4, one * 4]);
    },
  );

  test('noise of a converter step is averaged down by the conversions of a sample', () => {
    // One step of the converter is 4 counts. A saw tooth of many steps gives each conversion its own rounding.
    const { emulated, received } = board(
      (_, timeS) => 2.5 + 0.05 * ((timeS * 7_777) % 1),
      'board-4.hex',
      250,
    );
    emulated.run(0.4);
    const odd = received.samples.filter((sample) => sample.counts.some((count) => count % 4 !== 0));
    expect(odd.length).toBeGreaterThan(received.samples.length / 2);
  });
});

describe('time', () => {
  test.each([100, 300, 500, 777, 1_000])(
    '%i samples/s are that many, by the clock of the board',
    (rateHz) => {
      const { emulated, received } = board(() => 1, 'board-4.hex', rateHz);
      emulated.run(2);
      const { samples } = received;
      const first = samples[0]!;
      const last = samples.at(-1)!;
      const rate = ((last.sequence - first.sequence) * 2_000_000) / (last.timeTicks - first.timeTicks);
      expect(Math.abs(rate / rateHz - 1)).toBeLessThan(1e-5);
      expect(Math.abs(samples.length - 2 * rateHz)).toBeLessThanOrEqual(2);
      samples.slice(1).forEach((sample, at) => {
        const before = samples[at]!;
        expect(sample.sequence).toBe(before.sequence + 1);
        expect(Math.abs(sample.timeTicks - before.timeTicks - 2_000_000 / rateHz)).toBeLessThan(1);
      });
    },
  );

  test.each<[ImageName, number]>([
    ['board-4.hex', 250],
    ['board-4.hex', 500],
    ['board-4.hex', 1_000],
    ['board-8-multiplexed.hex', 500],
  ])('%s at %i samples/s: stamps and channel skew are true to 2 microseconds', (name, rateHz) => {
    const SLOPE_V_PER_S = 40;
    // No whole number of samples, so that the steps of the converter average out.
    const HALF_S = 0.09937;
    const slopeAt = (timeS: number) => (timeS % (2 * HALF_S) < HALF_S ? SLOPE_V_PER_S : -SLOPE_V_PER_S);
    const triangle = (timeS: number) =>
      0.5 + SLOPE_V_PER_S * (HALF_S - Math.abs((timeS % (2 * HALF_S)) - HALF_S));
    const { emulated, received } = board((_, timeS) => triangle(timeS), name, rateHz);
    const identity = identify(emulated, received);
    emulated.run(2);
    const origin = emulated.timerStartS;
    const channels = identity.sensorTypes.length;
    for (let channel = 0; channel < channels; channel++) {
      const rising: number[] = [];
      const falling: number[] = [];
      for (const sample of received.samples) {
        const timeS = origin + (sample.timeTicks + channel * identity.conversionTicks) / identity.clockRateHz;
        const phase = timeS % HALF_S;
        if (phase < 0.005 || phase > HALF_S - 0.005) continue;
        const volts = (sample.counts[channel]! / identity.fullScaleCounts) * SUPPLY_V;
        const slope = slopeAt(timeS);
        (slope > 0 ? rising : falling).push((volts - triangle(timeS)) / slope);
      }
      // What the converter cuts off makes a rising voltage seem late and a falling one early by the same time.
      const mean = (average(rising) + average(falling)) / 2;
      expect(Math.min(rising.length, falling.length)).toBeGreaterThan(150);
      expect(Math.abs(mean) * 1e6, `channel ${channel}`).toBeLessThan(2);
    }
  });

  test(`any clock and any sequence number is written digit for digit (seed ${SEED})`, () => {
    const image = loadFirmwareImage('board-4.hex');
    const { emulated, received } = board(() => 1);
    emulated.run(0.01);
    // From the instant to the middle of the first channel's conversions.
    const offset = received.samples[0]!.timeTicks % 4_000;
    const edges = Array.from({ length: 10 }, (_, power) => [
      10 ** power - 1,
      10 ** power,
      6 * 10 ** power,
    ]).flat();
    const random = fc.sample(fc.integer({ min: 0, max: 2 ** 32 - 1 }), { seed: SEED, numRuns: 150 });
    for (const value of [...edges, ...random].filter((number) => number < 2 ** 32)) {
      // The next sample shall show this value. Just after a line has begun none is under way.
      const ticks = (value - offset + 2 ** 32) % 2 ** 32;
      received.clear();
      while (received.samples.length === 0) emulated.run(0.000_1);
      emulated.poke(image.clockTicksAddress, ticks, 4);
      emulated.poke(image.sequenceAddress, value % 65_536, 2);
      received.clear();
      while (received.samples.length < 2) emulated.run(0.000_1);
      const shown = received.samples.find((sample) => sample.timeTicks === value);
      expect(shown, `clock ${value}`).toBeDefined();
      expect(shown!.sequence).toBe(value % 65_536);
    }
    expect(received.bad.total()).toBe(0);
  });

  test('sequence and clock go across their wraps', () => {
    const image = loadFirmwareImage('board-4.hex');
    const { emulated, received } = board(() => 1);
    emulated.poke(image.sequenceAddress, 65_436, 2);
    emulated.poke(image.clockTicksAddress, 2 ** 32 - 300_000, 4);
    emulated.run(0.01);
    received.clear();
    emulated.run(0.4);
    const { samples } = received;
    expect(samples.some((sample) => sample.sequence === 65_535)).toBe(true);
    expect(samples.some((sample) => sample.sequence === 0)).toBe(true);
    expect(Math.max(...samples.map((sample) => sample.timeTicks))).toBeGreaterThan(2 ** 32 - 5_000);
    expect(Math.min(...samples.map((sample) => sample.timeTicks))).toBeLessThan(5_000);
    samples.slice(1).forEach((sample, at) => {
      expect(sample.sequence).toBe((samples[at]!.sequence + 1) % 65_536);
      expect(sample.timeTicks).toBe((samples[at]!.timeTicks + 4_000) % 2 ** 32);
    });
    expect(received.bad.total()).toBe(0);
  });
});

function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
