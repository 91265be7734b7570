import { describe, expect, test } from 'vitest';
import { encodeCommand } from '../../../firmware-protocol/encode-command.ts';
import { BENCH_EEPROM, START_S } from './bench-eeprom.ts';
import { EmulatedBoard } from './emulated-board.ts';
import type { ImageName } from './firmware-image.ts';
import { loadFirmwareImage } from './firmware-image.ts';
import { measureInterruptTimes } from './measure-interrupts.ts';

/** Two received bytes fit the buffer of the chip (ATmega328P datasheet, USART receiver). */
const RECEIVE_BUFFER_BYTES = 2;

describe.each<[ImageName]>([['board-4.hex'], ['board-8-multiplexed.hex']])('interrupts of %s', (name) => {
  test('none takes so long that a byte on the line or a conversion is missed', () => {
    const { figures, longestDisabledCycles, cyclesPerByte } = measureInterruptTimes(name);
    expect([...figures.keys()].sort()).toEqual([
      'conversion complete',
      'serial byte received',
      'serial register empty',
      'timer 1 compare A',
    ]);
    const longest = Math.max(...[...figures.values()].map((figure) => figure.longestCycles));
    expect(longestDisabledCycles).toBeLessThan(RECEIVE_BUFFER_BYTES * cyclesPerByte);
    expect(longest).toBeLessThan(RECEIVE_BUFFER_BYTES * cyclesPerByte);
    // The end of a conversion may have to wait for one sending interrupt and must then start the next one within
    // a clock of the converter, else the channels drift apart.
    const sending = figures.get('serial register empty')!.longestCycles;
    expect(sending).toBeLessThan(80);
  });

  test('leave the program at least half of the time at full rate and full line', () => {
    const { figures, seconds } = measureInterruptTimes(name);
    const total = [...figures.values()].reduce((sum, figure) => sum + figure.totalCycles, 0);
    expect(total / (seconds * 16e6)).toBeLessThan(0.5);
  });
});

test('the timing sees every interrupt once', () => {
  const board = new EmulatedBoard({
    image: loadFirmwareImage('board-4.hex'),
    voltageAt: () => 1,
    eeprom: BENCH_EEPROM,
  });
  board.run(START_S);
  board.measureInterrupts = true;
  board.send(encodeCommand({ kind: 'identify' }));
  board.run(0.1);
  // 50 instants, 16 conversions at each, 7 command bytes.
  expect(Math.abs(board.interrupts.figures().get('timer 1 compare A')!.calls - 50)).toBeLessThanOrEqual(1);
  expect(Math.abs(board.interrupts.figures().get('conversion complete')!.calls - 800)).toBeLessThanOrEqual(
    16,
  );
  expect(board.interrupts.figures().get('serial byte received')!.calls).toBe(7);
});
