/**
 * Seeded random numbers: sfc32 (C. Doty-Humphrey, PractRand, public domain) seeded through splitmix32, so that
 * neighbouring seeds give unrelated streams. The same seed gives the same numbers on every machine.
 */
export class Random {
  #a: number;
  #b: number;
  #c: number;
  #counter = 1;
  #spare: number | null = null;
  readonly #seed: number;

  /** @param seed a whole number; taken modulo 2^32 */
  constructor(seed: number) {
    if (!Number.isInteger(seed)) throw new RangeError(`A seed is a whole number, not ${seed}`);
    this.#seed = seed >>> 0;
    let state = this.#seed;
    const next = () => {
      state = (state + 0x9e3779b9) | 0;
      let mixed = state ^ (state >>> 16);
      mixed = Math.imul(mixed, 0x21f0aaad);
      mixed ^= mixed >>> 15;
      mixed = Math.imul(mixed, 0x735a2d97);
      return mixed ^ (mixed >>> 15);
    };
    this.#a = next();
    this.#b = next();
    this.#c = next();
    for (let warm = 0; warm < WARM_UP_ROUNDS; warm++) this.#next();
  }

  /** A stream of its own that does not depend on how much was drawn from this one. */
  fork(label: number): Random {
    return new Random(
      (Math.imul(this.#seed ^ 0x5bf03635, 0x2c1b3c6d) + Math.imul(label + 1, 0x297a2d39)) >>> 0,
    );
  }

  /** Uniform in [0, 1), 32 bits. */
  uniform(): number {
    return this.#next() / 4_294_967_296;
  }

  /** Standard normal deviate by Marsaglia's polar method (SIAM Review 6, 1964, 260-264). */
  normal(): number {
    if (this.#spare !== null) {
      const spare = this.#spare;
      this.#spare = null;
      return spare;
    }
    for (;;) {
      const u = 2 * this.uniform() - 1;
      const v = 2 * this.uniform() - 1;
      const s = u * u + v * v;
      if (s >= 1 || s === 0) continue;
      const scale = Math.sqrt((-2 * Math.log(s)) / s);
      this.#spare = v * scale;
      return u * scale;
    }
  }

  #next(): number {
    const sum = (this.#a + this.#b + this.#counter++) | 0;
    this.#a = this.#b ^ (this.#b >>> 9);
    this.#b = (this.#c + (this.#c << 3)) | 0;
    this.#c = ((this.#c << 21) | (this.#c >>> 11)) + sum;
    this.#c |= 0;
    return sum >>> 0;
  }
}

const WARM_UP_ROUNDS = 15;
