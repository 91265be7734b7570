/**
 * The cylinder that a spot's name speaks of, 0-based, or null: 'boot 2' is that of cylinder 2. The practice engine covers the
 * leak of that cylinder while the spot is pressed.
 */
export function spotCylinder(spot: string | null): number | null {
  const number = Number(/(?<!\d)[1-8](?!\d)/.exec(spot ?? '')?.[0] ?? 0);
  return number === 0 ? null : number - 1;
}
