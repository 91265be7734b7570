import { describe, expect, test } from 'vitest';
import { encodeCommand } from '../../../firmware-protocol/encode-command.ts';
import { encodeLine } from '../../../firmware-protocol/encode-line.ts';
import {
  BITS_PER_BYTE_ON_LINE,
  linesPerSecond,
  worstSampleLineBytes,
} from '../../../firmware-protocol/line-budget.ts';
import { SampleSequence } from '../../../firmware-protocol/sequence.ts';
import { BENCH_EEPROM, START_S } from './bench-eeprom.ts';
import { EmulatedBoard } from './emulated-board.ts';
import { loadFirmwareImage } from './firmware-image.ts';
import { ReceivedLines } from './received-lines.ts';

const image = loadFirmwareImage('board-4.hex');
/** Four digits in every count: the longest lines that the sensors can cause. */
const LONG_COUNT_V = 4.9;

function board(voltageAt: (channel: number, timeS: number) => number) {
  const received = new ReceivedLines();
  const emulated = new EmulatedBoard({ image, voltageAt, onByte: received.onByte, eeprom: BENCH_EEPROM });
  emulated.run(START_S);
  return { emulated, received };
}

describe('the line under load', () => {
  test('carries 60 s of 4 channels at 500 samples/s and 500000 baud without losing one', {
    timeout: 600_000,
  }, () => {
    // Idle of a four-cylinder at about 1000 r/min as the sensors would show it; the commands are the ones that a
    // computer may send meanwhile.
    const { emulated, received } = board((channel, timeS) => {
      const phase = (timeS * 8.4 + channel / 4) % 1;
      return 1.4 + 2.2 * (1 - Math.exp(-4 * phase)) + 0.004 * channel;
    });
    emulated.poke(image.clockTicksAddress, 2 ** 32 - 60_000_000, 4);
    emulated.poke(image.sequenceAddress, 50_000, 2);
    emulated.run(0.02);
    received.clear();
    const sequence = new SampleSequence(4_000);
    const orders = new Map<string, number>();
    let samples = 0;
    for (let second = 0; second < 60; second++) {
      if (second % 10 === 5) emulated.send(encodeCommand({ kind: 'identify' }));
      emulated.run(1);
      for (const sample of received.samples) {
        const { order } = sequence.place(sample);
        orders.set(order, (orders.get(order) ?? 0) + 1);
      }
      samples += received.samples.length;
      expect(received.notices).toEqual([]);
      received.clear();
    }
    expect(received.bad.total()).toBe(0);
    expect(Math.abs(samples - 30_000)).toBeLessThanOrEqual(2);
    expect(Object.fromEntries(orders)).toEqual({ first: 1, next: samples - 1 });
  });

  test('too small for the samples, loses whole lines only, and the notice says how many', () => {
    const { emulated, received } = board(() => LONG_COUNT_V);
    emulated.poke(image.clockTicksAddress, 4_000_000_000, 4);
    emulated.send(encodeCommand({ kind: 'rate', sampleRateHz: 2_000 }));
    emulated.run(1);
    emulated.send(encodeCommand({ kind: 'stop' }));
    emulated.run(0.3);
    expect(received.bad.total()).toBe(0);
    const samples = received.samples.filter((sample) => sample.timeTicks > 4_000_000_000);
    const made = (samples.at(-1)!.sequence - samples[0]!.sequence + 65_536) % 65_536;
    const lost = made + 1 - samples.length;
    expect(lost).toBeGreaterThan(500);
    const reported = received.notices.at(-1)!;
    expect(reported.notice).toBe('overflow');
    expect(Math.abs(reported.count - lost)).toBeLessThanOrEqual(8);
  });

  test('is filled to the budget of PROTOCOL.md, and not beyond', () => {
    const { emulated, received } = board(() => LONG_COUNT_V);
    emulated.poke(image.clockTicksAddress, 4_000_000_000, 4);
    emulated.poke(image.sequenceAddress, 20_000, 2);
    emulated.send(encodeCommand({ kind: 'rate', sampleRateHz: 2_000 }));
    emulated.run(0.2);
    received.clear();
    emulated.run(2);
    const full = linesPerSecond(4, 4_096, emulated.baud).full;
    const measured = received.samples.length / 2;
    expect(encodeLine(received.samples[0]!).length).toBe(worstSampleLineBytes(4, 4_096));
    // Overflow notices take a few lines' room.
    expect(measured).toBeLessThanOrEqual(full + 1);
    expect(measured).toBeGreaterThan(full * 0.97);
    expect(received.bytes / 2).toBeGreaterThan((0.98 * emulated.baud) / BITS_PER_BYTE_ON_LINE);
  });

  test('at the usable rate of the budget loses nothing, longest lines and identities included', () => {
    const { emulated, received } = board(() => LONG_COUNT_V);
    const { usable } = linesPerSecond(4, 4_096, emulated.baud);
    emulated.poke(image.clockTicksAddress, 4_000_000_000, 4);
    emulated.poke(image.sequenceAddress, 20_000, 2);
    emulated.send(encodeCommand({ kind: 'rate', sampleRateHz: usable }));
    emulated.run(0.1);
    received.clear();
    for (let second = 0; second < 5; second++) {
      emulated.send(encodeCommand({ kind: 'identify' }));
      emulated.run(1);
    }
    const { samples } = received;
    expect(received.notices).toEqual([]);
    expect(received.identities.length).toBe(5);
    expect(samples.length).toBeGreaterThan(5 * usable - 3);
    expect(samples.at(-1)!.sequence - samples[0]!.sequence).toBe(samples.length - 1);
  });

  test('at the default rate the processor is idle half of the time', () => {
    const { emulated } = board(() => LONG_COUNT_V);
    const slept = emulated.sleptS;
    emulated.run(2);
    expect((emulated.sleptS - slept) / 2).toBeGreaterThan(0.5);
  });
});
