/** Longest times of one interrupt routine, in processor cycles. */
export interface InterruptFigures {
  readonly calls: number;
  readonly longestCycles: number;
  readonly totalCycles: number;
}

/** Names of the interrupts that the firmware uses, by word address of their vector in the ATmega328P. */
const VECTORS: ReadonlyMap<number, string> = new Map([
  [0x16, 'timer 1 compare A'],
  [0x24, 'serial byte received'],
  [0x26, 'serial register empty'],
  [0x2a, 'conversion complete'],
]);

/** The processor takes 4 cycles to enter a routine (datasheet, interrupt response time); the emulator counts 2. */
const MISSING_ENTRY_CYCLES = 2;

const RETI = 0x9518;

/** Follows the processor instruction by instruction and times the interrupt routines. */
export class InterruptTiming {
  readonly #figures = new Map<string, InterruptFigures>();
  #current: { readonly name: string; readonly startCycles: number } | null = null;
  #disabledSince: number | null = null;
  #longestDisabledCycles = 0;
  #started = false;

  restart(): void {
    this.#current = null;
    this.#disabledSince = null;
    this.#started = false;
  }

  entered(vector: number, cycles: number): void {
    const name = VECTORS.get(vector);
    if (name === undefined) throw new Error(`An interrupt without a routine: vector ${vector}`);
    if (this.#current !== null) throw new Error(`${name} interrupted ${this.#current.name}`);
    this.#current = { name, startCycles: cycles };
    this.#disabledSince ??= cycles;
  }

  afterInstruction(opcode: number, cycles: number, interruptsEnabled: boolean): void {
    if (interruptsEnabled) {
      // Only from the first time they were enabled: the start-up has no need to be quick.
      if (this.#disabledSince !== null && this.#started) {
        const disabled = cycles - this.#disabledSince + (opcode === RETI ? MISSING_ENTRY_CYCLES : 0);
        this.#longestDisabledCycles = Math.max(this.#longestDisabledCycles, disabled);
      }
      this.#disabledSince = null;
      this.#started = true;
    } else {
      this.#disabledSince ??= cycles;
    }
    if (opcode !== RETI || this.#current === null) return;
    const { name, startCycles } = this.#current;
    this.#current = null;
    const took = cycles - startCycles + MISSING_ENTRY_CYCLES;
    const before = this.#figures.get(name) ?? { calls: 0, longestCycles: 0, totalCycles: 0 };
    this.#figures.set(name, {
      calls: before.calls + 1,
      longestCycles: Math.max(before.longestCycles, took),
      totalCycles: before.totalCycles + took,
    });
  }

  figures(): ReadonlyMap<string, InterruptFigures> {
    return this.#figures;
  }

  /** Longest time without interrupts, routines included [cycles]: what any other interrupt may have to wait. */
  longestDisabledCycles(): number {
    return this.#longestDisabledCycles;
  }
}
