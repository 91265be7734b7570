import type { Marker } from './marker.ts';

/** How long a tail remembers [ms], and how often it takes a place. */
export const TAIL_MS = 3_000;
const EVERY_MS = 150;

export interface TailPoint {
  readonly cyl: number;
  readonly kpa: number;
  readonly atMs: number;
}

/** The tail with the present places of the markers added and what is too old dropped. */
export function tailWith(
  tail: readonly TailPoint[],
  markers: readonly Marker[],
  nowMs: number,
): readonly TailPoint[] {
  const newest = tail.at(-1)?.atMs ?? Number.NEGATIVE_INFINITY;
  const kept = tail.filter(
    ({ cyl, atMs }) => nowMs - atMs <= TAIL_MS && markers.some((marker) => marker.cyl === cyl),
  );
  if (nowMs - newest < EVERY_MS) return kept;
  return [...kept, ...markers.map(({ cyl, kpa }) => ({ cyl, kpa, atMs: nowMs }))];
}

/** 1 for a place taken now … 0 for one about to be forgotten. */
export function tailStrength({ atMs }: TailPoint, nowMs: number): number {
  return Math.max(0, 1 - (nowMs - atMs) / TAIL_MS);
}
