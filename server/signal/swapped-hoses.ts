/**
 * Tells two swapped hoses from the order in which the pulses arrive. Only possible when the engine's intake angles
 * are known and the swap changes the order: on evenly spaced twins it does not.
 */

/** Pulses within this much of their expected phase count as in place [cycles]. */
const IN_PLACE = 0.08;
/** Another exchange must fit worse than the best by this much [cycles]. */
const CLEARLY_WORSE = 0.03;

/**
 * @param phases measured phase of each cylinder's intake [cycles, 0-1], null where it has no pulse
 * @param expected phase of each by the engine's layout [cycles, 0-1]
 * @returns the 0-based pair whose exchange, and no other, puts every pulse in its place, or null
 */
export function swappedHoses(
  phases: readonly (number | null)[],
  expected: readonly number[],
): readonly [number, number] | null {
  const order = expected.map((_, cylinder) => cylinder);
  if (misfit(phases, expected, order) <= IN_PLACE) return null;
  let found: readonly [number, number] | null = null;
  let least = Number.POSITIVE_INFINITY;
  let second = Number.POSITIVE_INFINITY;
  for (let one = 0; one < order.length; one++) {
    for (let other = one + 1; other < order.length; other++) {
      if (phases[one] === null || phases[other] === null) continue;
      const exchanged = [...order];
      exchanged[one] = other;
      exchanged[other] = one;
      const off = misfit(phases, expected, exchanged);
      if (off < least) {
        second = least;
        least = off;
        found = [one, other];
      } else second = Math.min(second, off);
    }
  }
  // Two exchanges that explain the order about as well cannot be told apart.
  return least <= IN_PLACE && second - least >= CLEARLY_WORSE ? found : null;
}

/** Largest distance of a pulse from its place, the common offset taken out; 0 with fewer than two pulses: nothing can be out of place. */
function misfit(
  phases: readonly (number | null)[],
  expected: readonly number[],
  order: readonly number[],
): number {
  const offsets: number[] = [];
  for (let cylinder = 0; cylinder < expected.length; cylinder++) {
    const phase = phases[cylinder];
    if (phase === null || phase === undefined) continue;
    const offset = phase - expected[order[cylinder]!]!;
    offsets.push(offset - Math.floor(offset));
  }
  if (offsets.length < 2) return 0;
  let sine = 0;
  let cosine = 0;
  for (const offset of offsets) {
    sine += Math.sin(2 * Math.PI * offset);
    cosine += Math.cos(2 * Math.PI * offset);
  }
  const common = Math.atan2(sine, cosine) / (2 * Math.PI);
  return Math.max(...offsets.map((offset) => Math.abs(offset - common - Math.round(offset - common))));
}
