import type { Marker } from './marker.ts';

/** How long a tail remembers [ms], and how often it takes a place. */
export const TAIL_MS = 3_000;
export const TAIL_EVERY_MS = 160;

export interface TailPoint {
  readonly cyl: number;
  readonly kpa: number;
  readonly atMs: number;
}

/**
 * The tail with the present places of the markers added and what is too old dropped. The same array as long as there is
 * no new place to add, so that it need not be drawn again.
 */
export function tailWith(
  tail: readonly TailPoint[],
  markers: readonly Marker[],
  nowMs: number,
): readonly TailPoint[] {
  const newest = tail.at(-1)?.atMs ?? Number.NEGATIVE_INFINITY;
  if (nowMs - newest < TAIL_EVERY_MS && tail.every(({ cyl }) => isThere(markers, cyl))) return tail;
  const kept = tail.filter(({ cyl, atMs }) => nowMs - atMs <= TAIL_MS && isThere(markers, cyl));
  if (nowMs - newest < TAIL_EVERY_MS) return kept;
  return [...kept, ...markers.map(({ cyl, kpa }) => ({ cyl, kpa, atMs: nowMs }))];
}

/** The places of each cylinder, oldest first. */
export function tailsOf(tail: readonly TailPoint[]): ReadonlyMap<number, readonly TailPoint[]> {
  const tails = new Map<number, TailPoint[]>();
  for (const point of tail) {
    const known = tails.get(point.cyl);
    if (known === undefined) tails.set(point.cyl, [point]);
    else known.push(point);
  }
  return tails;
}

/** 1 for the newest place … 0 for one about to be forgotten, by how many came after it. */
export function tailStrength(later: number): number {
  return Math.max(0, 1 - (later * TAIL_EVERY_MS) / TAIL_MS);
}

const isThere = (markers: readonly Marker[], cyl: number) => markers.some((marker) => marker.cyl === cyl);
