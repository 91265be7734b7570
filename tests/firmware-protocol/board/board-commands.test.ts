import { describe, expect, test } from 'vitest';
import { crc16Hex } from '../../../firmware-protocol/crc16.ts';
import { encodeCommand } from '../../../firmware-protocol/encode-command.ts';
import { BENCH_EEPROM, START_S } from './bench-eeprom.ts';
import { EmulatedBoard } from './emulated-board.ts';
import { loadFirmwareImage } from './firmware-image.ts';
import { ReceivedLines } from './received-lines.ts';

const image = loadFirmwareImage('board-4.hex');

function runningBoard() {
  const received = new ReceivedLines();
  const board = new EmulatedBoard({
    image,
    voltageAt: () => 2,
    onByte: received.onByte,
    eeprom: BENCH_EEPROM,
  });
  board.run(START_S);
  received.clear();
  return { board, received };
}

describe('commands to the reference firmware', () => {
  test('identify is answered within 20 ms, without a sample lost', () => {
    const { board, received } = runningBoard();
    const before = board.timeS;
    board.send(encodeCommand({ kind: 'identify' }));
    board.run(0.1);
    const at = received.lines.findIndex((line) => line.kind === 'identity');
    expect(received.timesS[at]! - before).toBeLessThan(0.02);
    const sequences = received.samples.map((sample) => sample.sequence);
    expect(sequences.at(-1)! - sequences[0]!).toBe(sequences.length - 1);
    expect(received.notices).toEqual([]);
  });

  test('stop silences the samples, start brings them back, and sequence and clock have gone on', () => {
    const { board, received } = runningBoard();
    board.run(0.02);
    const last = received.samples.at(-1)!;
    board.send(encodeCommand({ kind: 'stop' }));
    board.run(0.01);
    expect(received.identities.length).toBe(1);
    received.clear();
    board.run(0.5);
    expect(received.lines).toEqual([]);
    board.send(encodeCommand({ kind: 'start' }));
    board.run(0.05);
    expect(received.lines[0]!.kind).toBe('identity');
    const first = received.samples[0]!;
    const steps = first.sequence - last.sequence;
    expect(steps).toBeGreaterThan(250);
    expect(first.timeTicks - last.timeTicks).toBe(steps * 4_000);
  });

  test('rate is answered with an identity of the new rate before the first sample at it', () => {
    const { board, received } = runningBoard();
    board.send(encodeCommand({ kind: 'rate', sampleRateHz: 250 }));
    board.run(0.2);
    const at = received.lines.findIndex((line) => line.kind === 'identity');
    expect(received.lines[at]).toMatchObject({ sampleRateHz: 250 });
    const samples = received.lines.slice(at + 1).filter((line) => line.kind === 'sample');
    const steps = samples.slice(1).map((sample, index) => sample.timeTicks - samples[index]!.timeTicks);
    expect(steps.slice(2).every((step) => step === 8_000)).toBe(true);
    const before = received.lines.slice(0, at).filter((line) => line.kind === 'sample');
    const stepsBefore = before.slice(1).map((sample, index) => sample.timeTicks - before[index]!.timeTicks);
    expect(stepsBefore.every((step) => step === 4_000)).toBe(true);
  });

  test.each<[string, string]>([
    ['a changed checksum', 'i*1C7E\n'],
    ['no checksum', 'i\n'],
    ['a checksum in lower case', 'i*1c7f\n'],
    ['an unknown letter', `q*${crc16Hex('q')}\n`],
    ['a letter too many', `ii*${crc16Hex('ii')}\n`],
    ['a rate that the converter cannot keep up with', encodeCommand({ kind: 'rate', sampleRateHz: 4_000 })],
    ['a rate too slow for the timer', encodeCommand({ kind: 'rate', sampleRateHz: 30 })],
    ['a rate of 0', `r,0*${crc16Hex('r,0')}\n`],
    ['a rate of five digits', `r,99999*${crc16Hex('r,99999')}\n`],
    ['an empty rate', `r,*${crc16Hex('r,')}\n`],
    ['a line far too long', `${'x'.repeat(300)}\n`],
  ])('%s is refused with a notice and changes nothing', (_what, text) => {
    const { board, received } = runningBoard();
    board.send(text);
    board.run(0.05);
    expect(received.notices).toEqual([{ kind: 'notice', notice: 'bad-command', count: 1 }]);
    expect(received.identities).toEqual([]);
    const ticks = received.samples.map((sample) => sample.timeTicks);
    expect(ticks.slice(1).every((tick, at) => tick - ticks[at]! === 4_000)).toBe(true);
    received.clear();
    board.send(encodeCommand({ kind: 'identify' }));
    board.run(0.05);
    expect(received.identities.length).toBe(1);
  });

  test('CR LF endings and empty lines are taken as they are meant', () => {
    const { board, received } = runningBoard();
    board.send('\n\r\n');
    board.send(encodeCommand({ kind: 'identify' }).replace('\n', '\r\n'));
    board.run(0.05);
    expect(received.identities.length).toBe(1);
    expect(received.notices).toEqual([]);
  });

  test('several commands at once are all obeyed', () => {
    const { board, received } = runningBoard();
    board.send(encodeCommand({ kind: 'stop' }));
    board.send(encodeCommand({ kind: 'rate', sampleRateHz: 100 }));
    board.send(encodeCommand({ kind: 'start' }));
    board.run(0.2);
    expect(received.identities.at(-1)!.sampleRateHz).toBe(100);
    const ticks = received.samples.slice(-5).map((sample) => sample.timeTicks);
    expect(ticks[4]! - ticks[3]!).toBe(20_000);
    expect(received.notices).toEqual([]);
  });

  test('a flood of rubbish costs no sample and cannot drown the line in notices', () => {
    const { board, received } = runningBoard();
    // 1 s of rubbish at full line speed.
    for (let line = 0; line < 5_000; line++) board.send('?garbage?\n');
    board.run(1.1);
    const sequences = received.samples.map((sample) => sample.sequence);
    expect(sequences.at(-1)! - sequences[0]!).toBe(sequences.length - 1);
    expect(received.notices.length).toBeGreaterThan(3);
    expect(received.notices.length).toBeLessThan(12);
    expect(received.notices.at(-1)!.count).toBeGreaterThan(4_000);
    expect(received.bad.total()).toBe(0);
  });
});

describe('a converter that does not answer', () => {
  test('is reported and started again, and samples go on when it does', () => {
    const { board, received } = runningBoard();
    board.converterStalled = true;
    board.run(0.3);
    board.converterStalled = false;
    expect(received.notices.at(-1)!.notice).toBe('adc-fault');
    expect(received.notices.at(-1)!.count).toBeGreaterThan(50);
    received.clear();
    board.run(0.2);
    expect(received.samples.length).toBeGreaterThan(95);
    expect(received.identities).toEqual([]);
    const ticks = received.samples.map((sample) => sample.timeTicks);
    expect(ticks.slice(1).every((tick, at) => tick - ticks[at]! === 4_000)).toBe(true);
  });
});
