/** Orders that look random and can be made again from a seed. */

/** Numbers 0…1 from a whole-number seed: splitmix32 (Steele, Lea and Flood, OOPSLA 2014, in 32 bits). */
export function seededUniform(seed: number): () => number {
  if (!Number.isInteger(seed)) throw new RangeError(`A seed is a whole number, not ${seed}`);
  let state = seed | 0;
  return () => {
    state = (state + 0x9e3779b9) | 0;
    let mixed = state ^ (state >>> 16);
    mixed = Math.imul(mixed, 0x21f0aaad);
    mixed ^= mixed >>> 15;
    mixed = Math.imul(mixed, 0x735a2d97);
    return ((mixed ^ (mixed >>> 15)) >>> 0) / 4_294_967_296;
  };
}

/** The same things in another order: Fisher and Yates' shuffle (Knuth, TAOCP 2, 3.4.2, algorithm P). */
export function shuffled<T>(things: readonly T[], uniform: () => number): T[] {
  const out = things.slice();
  for (let at = out.length - 1; at > 0; at--) {
    const other = Math.floor(uniform() * (at + 1));
    [out[at], out[other]] = [out[other]!, out[at]!];
  }
  return out;
}
