import { describe, expect, test } from 'vitest';
import { BENCH_EEPROM } from './bench-eeprom.ts';
import { EmulatedBoard } from './emulated-board.ts';
import { loadFirmwareImage } from './firmware-image.ts';
import { ReceivedLines } from './received-lines.ts';

const RUN_S = 2;

function linesOf(libraryPeripherals: boolean): ReceivedLines {
  const received = new ReceivedLines();
  const board = new EmulatedBoard({
    image: loadFirmwareImage('board-4.hex'),
    voltageAt: (channel) => 0.6 + 0.9 * channel,
    onByte: received.onByte,
    eeprom: BENCH_EEPROM,
    libraryPeripherals,
  });
  board.run(RUN_S);
  return received;
}

describe('the firmware on timer, converter and serial line of the emulator library', () => {
  test('says and measures the same as on the ones made here from the datasheet', () => {
    const theirs = linesOf(true);
    const ours = linesOf(false);
    expect(theirs.bad.total()).toBe(0);
    expect(theirs.notices).toEqual([]);
    const { conversionTicks: theirTicks, ...theirIdentity } = theirs.identities[0]!;
    const { conversionTicks: ourTicks, ...ourIdentity } = ours.identities[0]!;
    expect(theirIdentity).toEqual(ourIdentity);
    // Theirs begins a conversion without waiting for the converter's clock: 13 clocks of 8 us and the way there.
    expect(ourTicks).toBe(14 * 16);
    expect(theirTicks).toBeGreaterThanOrEqual(13 * 16);
    expect(theirTicks).toBeLessThan(14 * 16);
    expect(Math.abs(theirs.samples.length - ours.samples.length)).toBeLessThanOrEqual(1);
    theirs.samples.slice(1).forEach((sample, at) => {
      expect(sample.sequence).toBe(theirs.samples[at]!.sequence + 1);
      expect(sample.timeTicks - theirs.samples[at]!.timeTicks).toBe(4_000);
      expect(sample.counts).toEqual(ours.samples[0]!.counts);
    });
  });
});
