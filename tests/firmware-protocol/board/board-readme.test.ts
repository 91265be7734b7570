import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { encodeCommand } from '../../../firmware-protocol/encode-command.ts';
import { BENCH_EEPROM, START_S } from './bench-eeprom.ts';
import { EmulatedBoard } from './emulated-board.ts';
import type { ImageName } from './firmware-image.ts';
import { BOARD_FOLDER, loadFirmwareImage, readImagesDescription } from './firmware-image.ts';
import { measureInterruptTimes } from './measure-interrupts.ts';
import { ReceivedLines } from './received-lines.ts';

/** Without the blanks that line up its tables. */
const readme = readFileSync(new URL('README.md', BOARD_FOLDER), 'utf8').replaceAll(/ {2,}/g, ' ');

function stated(pattern: RegExp): number[] {
  const found = pattern.exec(readme);
  if (found === null) throw new Error(`README.md does not say ${pattern}`);
  return found.slice(1).map(Number);
}

function boardOf(name: ImageName, voltageAt: (channel: number) => number) {
  const received = new ReceivedLines();
  const board = new EmulatedBoard({
    image: loadFirmwareImage(name),
    voltageAt,
    onByte: received.onByte,
    eeprom: BENCH_EEPROM,
    multiplexed: name === 'board-8-multiplexed.hex',
  });
  board.run(START_S);
  return { board, received };
}

describe('the building instructions', () => {
  test('link only to files that exist', () => {
    const links = [...readme.matchAll(/\]\(([^)]+)\)/g)].map((match) => match[1]!);
    expect(links).toEqual(expect.arrayContaining(['wiring.svg', '../PROTOCOL.md']));
    for (const link of links) expect(existsSync(new URL(link, BOARD_FOLDER)), link).toBe(true);
    for (const { file } of readImagesDescription().images) expect(readme).toContain(`| \`${file}\` |`);
  });

  test('name the count of a sensor open to the air, and how far two may differ', () => {
    const [pressureKpa, count, difference] = stated(
      /At ([\d.]+) kPa every count of an MPX4115A is near (\d+) of 4096, and all channels agree within about (\d+)/,
    ) as [number, number, number];
    // MPX4115A datasheet: Vout = VS (0.009 P - 0.095), error 1.5 kPa from 0 to 85 degrees Celsius.
    const share = 0.009 * pressureKpa - 0.095;
    const { board, received } = boardOf('board-4.hex', () => 5 * share);
    board.run(0.05);
    for (const measured of received.samples.at(-1)!.counts)
      expect(Math.abs(measured - count)).toBeLessThan(4);
    expect(Math.abs(difference - 0.009 * 1.5 * 4_096)).toBeLessThan(1);
  });

  test.each<[ImageName, RegExp]>([
    ['board-4.hex', /(\d+) to (\d+) per second with 4 channels/],
    ['board-8-multiplexed.hex', /(\d+) to (\d+) with 8/],
  ])('%s samples at the rates that are promised', (name, pattern) => {
    const rates = name === 'board-4.hex' ? stated(pattern) : [31, ...stated(/31 to (\d+) with 8;/)];
    for (const sampleRateHz of rates) {
      const { board, received } = boardOf(name, () => 1);
      board.send(encodeCommand({ kind: 'rate', sampleRateHz }));
      board.run(0.05);
      expect(received.identities.at(-1)!.sampleRateHz).toBe(sampleRateHz);
      expect(received.notices.filter((notice) => notice.notice === 'bad-command')).toEqual([]);
    }
  });

  test('promise no more than what was measured', () => {
    const [conversionUs] = stated(/\| conversion \| (\d+) µs/) as [number];
    const { board, received } = boardOf('board-4.hex', () => 5);
    board.run(0.02);
    const { conversionTicks, clockRateHz } = received.identities[0]!;
    expect((conversionTicks / clockRateHz) * 1e6).toBeCloseTo(conversionUs, 6);
    const [highest] = stated(/(\d+) is the highest count that occurs/) as [number];
    expect(received.samples.at(-1)!.counts).toEqual([highest, highest, highest, highest]);

    const [longestUs] = stated(/\| longest interrupt \| (\d+) µs/) as [number];
    for (const { file } of readImagesDescription().images) {
      expect(measureInterruptTimes(file as ImageName).longestDisabledCycles / 16).toBeLessThan(longestUs);
    }
    const [flashKb, ramKb] = stated(/([\d.]+) kB of 32 kB flash, ([\d.]+) kB of 2 kB RAM/) as [
      number,
      number,
    ];
    for (const { flashBytes, ramBytes } of readImagesDescription().images) {
      expect(flashBytes).toBeLessThanOrEqual(flashKb * 1_024);
      expect(ramBytes).toBeLessThanOrEqual(ramKb * 1_024);
    }
  });
});

describe('the wiring diagram', () => {
  test('shows the pins that the firmware reads', () => {
    const drawing = readFileSync(new URL('wiring.svg', BOARD_FOLDER), 'utf8');
    for (const pin of ['ADC0 (PC0)', 'ADC1 (PC1)', 'ADC2 (PC2)', 'ADC3 (PC3)', 'PD2', 'PD3', 'PD4', 'AREF']) {
      expect(drawing).toContain(`>${pin}<`);
    }
    expect(drawing).toContain('<title id="title">');
  });
});
