/**
 * Flow of air through a small opening, relative to the choked flow: 1 while the pressure behind it is under 0.5283
 * of the pressure before it, then falling to 0 at equal pressures. Isentropic nozzle, ratio of specific heats 1.4
 * (flow function as in Heywood, Internal Combustion Engine Fundamentals, appendix C, from memory).
 */
export const CRITICAL_RATIO = (2 / 2.4) ** 3.5;

const STEPS = 2048;
/** Above this ratio the real opening is laminar and the flow falls in a straight line: no endless slope at balance. */
const LAMINAR_RATIO = 0.995;

const table = Float64Array.from({ length: STEPS + 2 }, (_, i) => exactFlow(Math.min(i / STEPS, 1)));

/** @param ratio pressure behind the opening over the pressure before it, 0…1 */
export function relativeFlow(ratio: number): number {
  if (ratio <= CRITICAL_RATIO) return 1;
  if (ratio >= 1) return 0;
  const position = ratio * STEPS;
  const i = Math.floor(position);
  const a = table[i]!;
  return a + (position - i) * (table[i + 1]! - a);
}

function exactFlow(ratio: number): number {
  if (ratio <= CRITICAL_RATIO) return 1;
  if (ratio > LAMINAR_RATIO) return (exactFlow(LAMINAR_RATIO) * (1 - ratio)) / (1 - LAMINAR_RATIO);
  const flow = (r: number): number => r ** (1 / 1.4) * Math.sqrt(7 * (1 - r ** (0.4 / 1.4)));
  return flow(ratio) / flow(CRITICAL_RATIO);
}
