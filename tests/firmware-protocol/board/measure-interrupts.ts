import { encodeCommand } from '../../../firmware-protocol/encode-command.ts';
import { BENCH_EEPROM, START_S } from './bench-eeprom.ts';
import { EmulatedBoard } from './emulated-board.ts';
import { CPU_HZ } from './emulated-converter.ts';
import type { ImageName } from './firmware-image.ts';
import { loadFirmwareImage } from './firmware-image.ts';
import type { InterruptFigures } from './interrupt-timing.ts';

export interface InterruptTimes {
  readonly figures: ReadonlyMap<string, InterruptFigures>;
  readonly longestDisabledCycles: number;
  readonly cyclesPerByte: number;
  readonly seconds: number;
}

/**
 * Times of the interrupt routines in the worst case: longest lines, a flood of bytes from the computer, changes of
 * rate, and rates at which the line overflows. Run directly to print them:
 * `npx tsx tests/firmware-protocol/board/measure-interrupts.ts`
 */
export function measureInterruptTimes(name: ImageName): InterruptTimes {
  const board = new EmulatedBoard({
    image: loadFirmwareImage(name),
    voltageAt: () => 4.9,
    eeprom: BENCH_EEPROM,
    multiplexed: name === 'board-8-multiplexed.hex',
  });
  board.run(START_S);
  board.measureInterrupts = true;
  const start = board.timeS;
  for (const sampleRateHz of [500, 1_000, 250, 2_000, 777, 500]) {
    board.send(encodeCommand({ kind: 'rate', sampleRateHz }));
    for (let line = 0; line < 400; line++) board.send('?garbage?\n');
    board.run(0.25);
  }
  return {
    figures: board.interrupts.figures(),
    longestDisabledCycles: board.interrupts.longestDisabledCycles(),
    cyclesPerByte: (CPU_HZ * 10) / board.baud,
    seconds: board.timeS - start,
  };
}

if (process.argv[1] === new URL(import.meta.url).pathname) {
  for (const name of ['board-4.hex', 'board-8-multiplexed.hex'] as const) {
    const { figures, longestDisabledCycles, seconds } = measureInterruptTimes(name);
    console.log(name);
    for (const [interrupt, { calls, longestCycles, totalCycles }] of figures) {
      const share = (100 * totalCycles) / (seconds * CPU_HZ);
      console.log(
        `  ${interrupt.padEnd(22)} longest ${longestCycles} cycles = ${(longestCycles / 16).toFixed(1)} us, ` +
          `${Math.round(calls / seconds)}/s, ${share.toFixed(1)} % of the processor`,
      );
    }
    console.log(`  longest without interrupts ${(longestDisabledCycles / 16).toFixed(1)} us`);
  }
}
