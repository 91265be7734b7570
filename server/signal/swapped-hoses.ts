/**
 * Tells two swapped hoses from the order in which the pulses arrive. Only possible when the engine's intake angles
 * are known and the swap changes the order: on evenly spaced twins it does not.
 */

/** Pulses within this much of their expected phase count as in place [cycles]. */
const IN_PLACE = 0.08;
/** An exchange that fits worse than the best by less than this explains the order as well as that [cycles]. */
const AS_WELL = 0.03;

/** 0-based cylinders. */
export type HosePair = readonly [number, number];

/**
 * @param phases measured phase of each cylinder's intake [cycles, 0-1], null where it has no pulse
 * @param expected phase of each by the engine's layout [cycles, 0-1]
 * @returns the pairs whose exchange puts every pulse in its place, or null where none does or nothing is out of place. More
 *   than one where they cannot be told apart: on an even four the outer two and the middle two
 */
export function swappedHoses(
  phases: readonly (number | null)[],
  expected: readonly number[],
): readonly HosePair[] | null {
  const order = expected.map((_, cylinder) => cylinder);
  if (misfit(phases, expected, order) <= IN_PLACE) return null;
  const exchanges: { readonly pair: HosePair; readonly off: number }[] = [];
  for (let one = 0; one < order.length; one++) {
    for (let other = one + 1; other < order.length; other++) {
      if (phases[one] === null || phases[other] === null) continue;
      const exchanged = [...order];
      exchanged[one] = other;
      exchanged[other] = one;
      exchanges.push({ pair: [one, other], off: misfit(phases, expected, exchanged) });
    }
  }
  const least = Math.min(...exchanges.map(({ off }) => off));
  if (least > IN_PLACE) return null;
  return exchanges.filter(({ off }) => off - least < AS_WELL).map(({ pair }) => pair);
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
