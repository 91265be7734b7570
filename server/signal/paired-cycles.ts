/**
 * Puts the cycles of all cylinders that belong to one engine cycle side by side, so that what is common to them,
 * such as a wandering idle speed, cancels in their differences.
 */
import type { PressureCycle } from './pressure-cycle.ts';

/** An engine cycle is complete, with what it has, when this many later ones have begun. */
const WAIT_CYCLES = 2;

export interface EngineCycle {
  readonly index: number;
  /** One entry per cylinder; null where that cylinder had no whole cycle. */
  readonly cycles: readonly (PressureCycle | null)[];
}

export class PairedCycles {
  readonly #cylinders: number;
  readonly #onEngineCycle: (cycle: EngineCycle) => void;
  readonly #open = new Map<number, (PressureCycle | null)[]>();

  constructor(cylinders: number, onEngineCycle: (cycle: EngineCycle) => void) {
    this.#cylinders = cylinders;
    this.#onEngineCycle = onEngineCycle;
  }

  push(cycle: PressureCycle): void {
    for (const index of [...this.#open.keys()].sort((a, b) => a - b)) {
      if (index <= cycle.index - WAIT_CYCLES) this.#close(index);
    }
    let row = this.#open.get(cycle.index);
    if (row === undefined) {
      row = Array.from({ length: this.#cylinders }, () => null);
      this.#open.set(cycle.index, row);
    }
    row[cycle.cylinder] = cycle;
    if (row.every((one) => one !== null)) this.#close(cycle.index);
  }

  /** Hands out what is still waiting, as at the end of a recording. */
  flush(): void {
    for (const index of [...this.#open.keys()].sort((a, b) => a - b)) this.#close(index);
  }

  #close(index: number): void {
    const cycles = this.#open.get(index)!;
    this.#open.delete(index);
    this.#onEngineCycle({ index, cycles });
  }
}
