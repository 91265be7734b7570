import {
  AVRClock,
  AVREEPROM,
  AVRWatchdog,
  avrInstruction,
  CPU,
  clockConfig,
  EEPROMMemoryBackend,
  watchdogConfig,
} from 'avr8js';
import { attachConverter, CPU_HZ } from './emulated-converter.ts';
import { EmulatedTimer } from './emulated-timer.ts';
import { EmulatedUart } from './emulated-uart.ts';
import type { FirmwareImage } from './firmware-image.ts';
import { InterruptTiming } from './interrupt-timing.ts';
import { attachLibraryPeripherals } from './library-peripherals.ts';

export interface EmulatedBoardOptions {
  readonly image: FirmwareImage;
  /** Voltage [V] on the sensor of channel 0, 1, … at a time [s] since the board was made. */
  readonly voltageAt: (channel: number, timeS: number) => number;
  /** A byte has left the board; the time [s] is that of its stop bit. */
  readonly onByte?: (byte: number, timeS: number) => void;
  /** Contents of the EEPROM; erased when missing. */
  readonly eeprom?: Uint8Array;
  /** Channels come through a multiplexer addressed by PD2, PD3 and PD4. */
  readonly multiplexed?: boolean;
  /** Seed of the pattern in memory at power-up. */
  readonly memorySeed?: number;
  /** Timer, converter and serial line of the emulator's library in place of ours: slower, but written by others. */
  readonly libraryPeripherals?: boolean;
}

export type ResetCause = 'power' | 'external' | 'brown-out' | 'watchdog';

/**
 * A board with the compiled reference firmware: the processor core, EEPROM and watchdog of avr8js, timer,
 * converter timing and serial line of this folder. Deterministic; time passes only in `run`.
 *
 * @example
 * const board = new EmulatedBoard({ image: loadFirmwareImage('board-4.hex'), voltageAt: () => 2.5, onByte });
 * board.run(0.5);
 * board.send(encodeCommand({ kind: 'identify' }));
 */
export class EmulatedBoard {
  readonly eeprom = new EEPROMMemoryBackend(EEPROM_BYTES);
  /** How long interrupt routines take, gathered while `measureInterrupts` is on. */
  readonly interrupts = new InterruptTiming();
  measureInterrupts = false;
  /** While true no conversion ends. */
  converterStalled = false;
  readonly #options: EmulatedBoardOptions;
  #cpu: CPU;
  /** Missing with `libraryPeripherals`: such a board can only be listened to. */
  #uart!: EmulatedUart;
  #timer!: EmulatedTimer;
  #asleep = false;
  #sleptCycles = 0;
  #due: ResetCause | null = null;

  constructor(options: EmulatedBoardOptions) {
    this.#options = options;
    if (options.eeprom) this.eeprom.memory.set(options.eeprom);
    this.#cpu = this.#start('power', null);
  }

  /** Time since the board was made [s]; goes on over resets. */
  get timeS(): number {
    return this.#cpu.cycles / CPU_HZ;
  }

  /** Time that the processor has slept [s]. */
  get sleptS(): number {
    return this.#sleptCycles / CPU_HZ;
  }

  get baud(): number {
    return this.#uart.baud;
  }

  /** Time [s] at which the board clock that stamps the samples stood at 0. */
  get timerStartS(): number {
    return this.#timer.originCycles / CPU_HZ;
  }

  run(seconds: number): void {
    const end = Math.round(this.#cpu.cycles + seconds * CPU_HZ);
    while (this.#cpu.cycles < end) {
      if (this.#asleep) this.#sleepUntil(end);
      else if (this.measureInterrupts) this.#stepMeasured();
      else this.#runAwake(end);
      if (this.#due !== null) this.reset(this.#due);
    }
  }

  /** ASCII text to the board's receiver, at line speed from now on. */
  send(text: string): void {
    for (const character of text) this.#uart.send(character.charCodeAt(0));
  }

  reset(cause: ResetCause = 'external'): void {
    this.#due = null;
    this.#cpu = this.#start(cause, this.#cpu);
  }

  /** Lets the program hang in an endless loop with interrupts off, as a fault would. */
  hang(): void {
    const loop = this.#options.image.program.indexOf(RJMP_TO_ITSELF);
    if (loop < 0) throw new Error('The image has no endless loop to hang in');
    this.#cpu.data[SREG] = this.#cpu.data[SREG]! & ~INTERRUPTS_ENABLED;
    this.#cpu.pc = loop;
    this.#asleep = false;
  }

  /** Sets a variable of the program, low byte first, so that a test need not wait until it wraps. */
  poke(address: number, value: number, bytes: number): void {
    for (let at = 0; at < bytes; at++) this.#cpu.data[address + at] = (value / 256 ** at) & 0xff;
  }

  #start(cause: ResetCause, before: CPU | null): CPU {
    const cpu = new CPU(this.#options.image.program, RAM_BYTES);
    if (before !== null) cpu.cycles = before.cycles;
    if (before === null || cause === 'power') fillWithPattern(cpu.data, this.#options.memorySeed ?? 1);
    else cpu.data.set(before.data.subarray(RAM_START), RAM_START);
    // Registers hold anything at all after a reset.
    cpu.data.fill(0xa5, 0, REGISTERS);
    cpu.data[MCUSR] = RESET_FLAGS[cause];

    new AVREEPROM(cpu, this.eeprom);
    new AVRWatchdog(cpu, watchdogConfig, new AVRClock(cpu, CPU_HZ, clockConfig));
    const onByte = (byte: number): void => this.#options.onByte?.(byte, this.timeS);
    const voltageAt = (input: number, timeS: number): number =>
      this.#options.voltageAt(this.#channelOf(input), timeS);
    if (this.#options.libraryPeripherals) {
      attachLibraryPeripherals(cpu, voltageAt, onByte);
    } else {
      this.#timer = new EmulatedTimer(cpu);
      attachConverter(cpu, voltageAt, () => this.converterStalled);
      this.#uart = new EmulatedUart(cpu, onByte);
    }
    // Only the watchdog calls this. All of the chip starts again, not only the processor.
    cpu.reset = () => {
      this.#due = 'watchdog';
    };
    this.#asleep = false;
    this.interrupts.restart();
    return cpu;
  }

  #channelOf(input: number): number {
    if (!this.#options.multiplexed) return input;
    return input === 0 ? (this.#cpu.data[PORTD]! >> 2) & 7 : 0;
  }

  #runAwake(end: number): void {
    const cpu = this.#cpu;
    const { progMem } = cpu;
    while (cpu.cycles < end && this.#due === null) {
      const opcode = progMem[cpu.pc];
      avrInstruction(cpu);
      const { pc } = cpu;
      cpu.tick();
      if (opcode === SLEEP && cpu.pc === pc) {
        this.#asleep = true;
        return;
      }
    }
  }

  #stepMeasured(): void {
    const cpu = this.#cpu;
    const opcode = cpu.progMem[cpu.pc]!;
    avrInstruction(cpu);
    this.interrupts.afterInstruction(opcode, cpu.cycles, cpu.interruptsEnabled);
    const pc = cpu.pc;
    const before = cpu.cycles;
    cpu.tick();
    if (cpu.pc !== pc && this.#due === null) this.interrupts.entered(cpu.pc, before);
    else if (opcode === SLEEP) this.#asleep = true;
  }

  /** Nothing happens in sleep but clock events, so time goes straight from one to the next. */
  #sleepUntil(end: number): void {
    const cpu = this.#cpu;
    while (cpu.cycles < end && this.#due === null) {
      const next = (cpu as unknown as { nextClockEvent: { cycles: number } | null }).nextClockEvent;
      const until = Math.min(end, Math.max(cpu.cycles, next?.cycles ?? end));
      this.#sleptCycles += until - cpu.cycles;
      cpu.cycles = until;
      const pc = cpu.pc;
      cpu.tick();
      if (cpu.pc === pc) continue;
      this.#asleep = false;
      if (this.measureInterrupts) this.interrupts.entered(cpu.pc, until);
      return;
    }
  }
}

const RAM_START = 0x100;
const RAM_BYTES = 2_048;
const REGISTERS = 32;
const EEPROM_BYTES = 1_024;
const PORTD = 0x2b;
const MCUSR = 0x54;
const SREG = 0x5f;
const INTERRUPTS_ENABLED = 0x80;
const SLEEP = 0x9588;
const RJMP_TO_ITSELF = 0xcfff;
const RESET_FLAGS: Readonly<Record<ResetCause, number>> = {
  power: 0x01,
  external: 0x02,
  'brown-out': 0x04,
  watchdog: 0x08,
};

function fillWithPattern(data: Uint8Array, seed: number): void {
  let state = seed >>> 0;
  for (let at = RAM_START; at < RAM_START + RAM_BYTES; at++) {
    // Numerical Recipes' linear congruence; any pattern will do.
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    data[at] = state >>> 24;
  }
}
