import type { SeededRandom } from '../engines/seeded-random.ts';

/** What a cable can do to what goes through it. Chances are per byte, or per line where it says so. */
export interface CableTrouble {
  /** One or more bits of a byte are turned over. */
  readonly flip?: number;
  readonly drop?: number;
  /** A byte from nowhere is put in front. */
  readonly insert?: number;
  /** Per line: comes twice. */
  readonly twice?: number;
  /** Per line: changes places with the one in front of it. */
  readonly swap?: number;
  /** Per chunk: comes after the next one, wherever it was cut. */
  readonly late?: number;
  /** Nothing comes through; it is all delivered in one go afterwards. */
  readonly hold?: boolean;
  /** Nothing comes through and it is lost. */
  readonly deaf?: boolean;
}

/** Between the board and the port of the computer. */
export class FaultyCable {
  trouble: CableTrouble = {};
  readonly #random: SeededRandom;
  #held: Buffer[] = [];
  #late: Buffer | null = null;

  constructor(random: SeededRandom) {
    this.#random = random;
  }

  /** Whole lines in, chunks as they arrive out. */
  through(lines: string): Uint8Array[] {
    const { trouble } = this;
    if (trouble.deaf === true) return [];
    let bytes = this.#mangled(Buffer.from(this.#shuffled(lines), 'latin1'));
    if (trouble.hold === true) {
      this.#held.push(bytes);
      return [];
    }
    if (this.#held.length > 0) bytes = Buffer.concat([...this.#held.splice(0), bytes]);
    const chunks = this.#cut(bytes).flatMap((chunk) => this.#delayed(chunk));
    if (trouble.late === undefined && this.#late !== null) {
      chunks.push(this.#late);
      this.#late = null;
    }
    return chunks;
  }

  /** Whatever was under way is gone. */
  pulled(): void {
    this.#held = [];
    this.#late = null;
  }

  #shuffled(text: string): string {
    const { twice = 0, swap = 0 } = this.trouble;
    if (twice === 0 && swap === 0) return text;
    const lines = text.split(/(?<=\n)/);
    for (let at = 1; at < lines.length; at++) {
      if (this.#random.uniform() < swap) {
        [lines[at - 1], lines[at]] = [lines[at]!, lines[at - 1]!];
      }
    }
    return lines.map((line) => (this.#random.uniform() < twice ? line + line : line)).join('');
  }

  #mangled(bytes: Buffer): Buffer {
    const { flip = 0, drop = 0, insert = 0 } = this.trouble;
    const any = flip + drop + insert;
    if (any === 0) return bytes;
    const out: number[] = [];
    for (const byte of bytes) {
      const chance = this.#random.uniform();
      if (chance >= any) out.push(byte);
      else if (chance < flip) out.push(byte ^ (1 + this.#random.index(255)));
      else if (chance < flip + insert) out.push(this.#random.index(256), byte);
    }
    return Buffer.from(out);
  }

  /** As a driver hands it on: in pieces that end anywhere. */
  #cut(bytes: Buffer): Buffer[] {
    const pieces: Buffer[] = [];
    for (let from = 0; from < bytes.length; ) {
      const to = from + 1 + this.#random.index(120);
      pieces.push(bytes.subarray(from, to));
      from = to;
    }
    return pieces;
  }

  #delayed(chunk: Buffer): Buffer[] {
    const { late = 0 } = this.trouble;
    const before = this.#late;
    this.#late = null;
    if (late > 0 && before === null && this.#random.uniform() < late) {
      this.#late = chunk;
      return [];
    }
    return before === null ? [chunk] : [chunk, before];
  }
}

/** What a line at the wrong speed looks like. */
export function wrongSpeed(bytes: number, random: SeededRandom): Uint8Array {
  return Uint8Array.from({ length: bytes }, () => (random.uniform() < 0.3 ? 0 : random.index(256)));
}
