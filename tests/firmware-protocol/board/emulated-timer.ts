import type { CPU } from 'avr8js';

const TIFR1 = 0x36;
const GTCCR = 0x43;
const TIMSK1 = 0x6f;
const TCCR1B = 0x81;
const TCNT1L = 0x84;
const TCNT1H = 0x85;
const OCR1AL = 0x88;
const OCR1AH = 0x89;

const TSM = 0x80;
const OCF1A = 0x02;
const CS_MASK = 0x07;
const DIVIDERS = [0, 1, 8, 64, 256, 1024] as const;
const COUNTS = 65_536;

/**
 * Timer 1 of the ATmega328P in normal mode with compare A: counts lazily and has an event only at the match,
 * where the emulator's own has one at every count. 16-bit registers go through the shared high byte.
 */
export class EmulatedTimer {
  readonly #cpu: CPU;
  #divider = 0;
  /** Cycle at which the counter would have been 0. */
  #origin = 0;
  #stoppedAt = 0;
  #compare = 0;
  #highByte = 0;
  readonly #match = {
    address: 0x16,
    flagRegister: TIFR1,
    flagMask: OCF1A,
    enableRegister: TIMSK1,
    enableMask: 0x02,
  };
  readonly #onMatch = (): void => {
    this.#cpu.setInterruptFlag(this.#match);
    this.#schedule(COUNTS);
  };

  constructor(cpu: CPU) {
    this.#cpu = cpu;
    const setDivider = (): void => {
      this.#stoppedAt = this.#count();
      const held = cpu.data[GTCCR]! & TSM;
      this.#divider = held ? 0 : (DIVIDERS[cpu.data[TCCR1B]! & CS_MASK] ?? 0);
      this.#origin = cpu.cycles - this.#stoppedAt * this.#divider;
      this.#reschedule();
    };
    for (const register of [TCCR1B, GTCCR]) {
      cpu.writeHooks[register] = (value) => {
        cpu.data[register] = value;
        setDivider();
        return true;
      };
    }
    cpu.writeHooks[TCNT1H] = (value) => this.#setHighByte(value);
    cpu.writeHooks[OCR1AH] = (value) => this.#setHighByte(value);
    cpu.writeHooks[TCNT1L] = (value) => {
      this.#stoppedAt = (this.#highByte << 8) | value;
      this.#origin = cpu.cycles - this.#stoppedAt * this.#divider;
      this.#reschedule();
    };
    cpu.writeHooks[OCR1AL] = (value) => {
      this.#compare = (this.#highByte << 8) | value;
      cpu.data[OCR1AH] = this.#highByte;
      this.#reschedule();
    };
    cpu.readHooks[TCNT1L] = () => {
      const count = this.#count();
      cpu.data[TCNT1H] = count >> 8;
      return count & 0xff;
    };
    cpu.writeHooks[TIFR1] = (value) => {
      cpu.clearInterruptByFlag(this.#match, value);
      return true;
    };
    cpu.writeHooks[TIMSK1] = (value) => {
      cpu.updateInterruptEnable(this.#match, value);
    };
  }

  /** Cycle at which the counter was 0, if it has not been set or stopped since. */
  get originCycles(): number {
    return this.#origin;
  }

  #setHighByte(value: number): true {
    this.#highByte = value;
    return true;
  }

  #count(): number {
    if (this.#divider === 0) return this.#stoppedAt;
    return Math.floor((this.#cpu.cycles - this.#origin) / this.#divider) % COUNTS;
  }

  #reschedule(): void {
    this.#cpu.clearClockEvent(this.#onMatch);
    if (this.#divider === 0) return;
    const ahead = (this.#compare - this.#count() + COUNTS) % COUNTS;
    this.#schedule(ahead === 0 ? COUNTS : ahead);
  }

  #schedule(counts: number): void {
    const now = Math.floor((this.#cpu.cycles - this.#origin) / this.#divider);
    this.#cpu.addClockEvent(this.#onMatch, this.#origin + (now + counts) * this.#divider - this.#cpu.cycles);
  }
}
