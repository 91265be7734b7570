/** A small turn of a screw, as with the blade hardly moving, and a large one [turns]. */
export const SMALL_TURN = 0.05;
export const LARGE_TURN = 0.25;

/** Turns within their limits, free of the dust that adding decimals leaves. */
export function roundTurns(turns: number, least: number, most: number): number {
  return Number(Math.max(least, Math.min(most, turns)).toFixed(3));
}

/** As a mechanic says it. */
export function turnsWords(turns: number): string {
  if (turns === 0) return 'as found';
  return `${Math.abs(turns).toFixed(2)} ${turns > 0 ? 'in' : 'out'}`;
}
