/** A repeatable stream of chance. The same seed always gives the same stream, on every machine. */
export interface SeededRandom {
  /** Even in 0…1, 1 excluded. */
  uniform(): number;
  /** Even between two bounds. */
  between(low: number, high: number): number;
  /** Whole number in 0…count-1. */
  index(count: number): number;
  /** Normal with mean 0 and standard deviation 1. */
  normal(): number;
}

/** sfc32 generator (public domain, from the PractRand test suite), seeded through splitmix32. */
export function seededRandom(seed: number, stream = 0): SeededRandom {
  let state = (Math.imul(seed | 0, 0x9e3779b1) ^ Math.imul(stream | 0, 0x85ebca6b)) | 0;
  const split = (): number => {
    state = (state + 0x9e3779b9) | 0;
    let z = state ^ (state >>> 16);
    z = Math.imul(z, 0x21f0aaad);
    z ^= z >>> 15;
    z = Math.imul(z, 0x735a2d97);
    return (z ^ (z >>> 15)) | 0;
  };
  let a = split();
  let b = split();
  let c = split();
  let counter = 1;
  const uniform = (): number => {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return (t >>> 0) / 4294967296;
  };
  for (let i = 0; i < 12; i++) uniform();
  let spare: number | null = null;
  const normal = (): number => {
    if (spare !== null) {
      const value = spare;
      spare = null;
      return value;
    }
    // Marsaglia's polar method.
    for (;;) {
      const u = 2 * uniform() - 1;
      const v = 2 * uniform() - 1;
      const s = u * u + v * v;
      if (s > 0 && s < 1) {
        const scale = Math.sqrt((-2 * Math.log(s)) / s);
        spare = v * scale;
        return u * scale;
      }
    }
  };
  return {
    uniform,
    normal,
    between: (low, high) => low + (high - low) * uniform(),
    index: (count) => Math.floor(uniform() * count),
  };
}
