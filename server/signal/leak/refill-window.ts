/**
 * The part of the engine cycle in which a port only refills: from where the intake valve has shut to before the
 * next stroke begins, in the folded pulse of all cycles.
 *
 * In the filling coordinate a refilling port rises in a straight line. Before the valve has shut the port and the
 * cylinder fill together, so the rise is slower: the stretch begins where the slope has come up to that of the
 * rest. Near balance the gauge's zero and the outside pressure tell more than the opening: it ends before.
 */
import { fillingCoordinate } from './orifice-leak.ts';
import type { RefillInput } from './refill-slope.ts';

export interface RefillWindow {
  /** Parts of the cycle after the fall of the pressure, 0…1. */
  readonly from: number;
  readonly to: number;
}

const BINS = 64;
/** Above this ratio to the outside pressure the coordinate is too steep to be trusted. */
const MOST_RATIO = 0.9;
/** A stroke must draw at least this [kPa] for there to be a refill. */
const LEAST_DEPTH_KPA = 4;
/** Length of the straight piece that is looked for, in parts of the cycle, at least. */
const LEAST_LENGTH = 0.12;
/** Margin before the next stroke, and behind the lowest pressure [parts of the cycle]. */
const BEFORE_FALL = 0.06;
const AFTER_TROUGH = 0.03;
/** The slope of so many bins together ... */
const PIECE_BINS = 5;
/** ... is that of the rest when it differs by no more than this part of it. */
const SAME_SLOPE = 0.08;

/** @returns null when the pulse is too shallow or nowhere straight for long enough */
export function refillWindow(input: RefillInput): RefillWindow | null {
  const folded = fold(input);
  if (folded === null) return null;
  return windowOf(folded, input.barometricKpa);
}

/** @param folded mean absolute pressure of even parts of the cycle [kPa], from the fall of the pressure on */
export function windowOf(folded: readonly number[], barometricKpa: number): RefillWindow | null {
  const bins = folded.length;
  const lowest = Math.min(...folded);
  const trough = folded.indexOf(lowest);
  const highest = Math.max(...folded);
  if (highest - lowest < LEAST_DEPTH_KPA) return null;
  // Where the pressure is highest after the trough, cyclically: the next stroke follows.
  let top = trough;
  for (let step = 1; step < bins; step++) {
    const value = folded[(trough + step) % bins]!;
    if (value >= folded[top % bins]!) top = trough + step;
    if (step > bins / 4 && value < folded[top % bins]! - 0.3 * (highest - lowest)) break;
  }
  const y = (bin: number): number => barometricKpa * fillingCoordinate(folded[bin % bins]! / barometricKpa);
  const first = trough + Math.ceil(AFTER_TROUGH * bins);
  let last = top - Math.ceil(BEFORE_FALL * bins);
  while (last > first && folded[last % bins]! > MOST_RATIO * barometricKpa) last--;
  const least = Math.ceil(LEAST_LENGTH * bins);
  if (last - first < least) return null;
  const from = plateauStart(y, first, last, least);
  return { from: (from + 0.5) / bins, to: (last + 0.5) / bins };
}

/** First bin from which on the slope is that of the rest: piece by piece towards the trough while each is as steep. */
function plateauStart(y: (bin: number) => number, first: number, last: number, least: number): number {
  let from = last - least;
  while (from > first) {
    const next = Math.max(first, from - 1);
    const rest = slopeOf(y, from, last);
    const here = slopeOf(y, next, next + PIECE_BINS);
    if (Math.abs(here / rest - 1) > SAME_SLOPE) break;
    from = next;
  }
  return from;
}

/** Least squares over bins from…to, both included. */
function slopeOf(y: (bin: number) => number, from: number, to: number): number {
  const middle = 0.5 * (from + to);
  let xx = 0;
  let xy = 0;
  for (let bin = from; bin <= to; bin++) {
    xx += (bin - middle) ** 2;
    xy += (bin - middle) * y(bin);
  }
  return xy / xx;
}

/**
 * Mean pressure over the cycle, each cycle about its own mean, so that levels that scatter put no steps between bins.
 * Empty bins take the straight line between their neighbours.
 */
function fold({ timeS, kpa, delayS, cycles }: RefillInput): number[] | null {
  const sums = new Float64Array(BINS);
  const counts = new Float64Array(BINS);
  let total = 0;
  let folded = 0;
  let row = 0;
  for (const { startS, endS } of cycles) {
    const from = startS - (delayS ?? 0);
    const to = endS - (delayS ?? 0);
    while (row > 0 && timeS[row - 1]! > from) row--;
    while (row < timeS.length && timeS[row]! < from) row++;
    const first = row;
    let sum = 0;
    let count = 0;
    for (; row < timeS.length && timeS[row]! < to; row++) {
      const value = kpa[row]!;
      if (value - value !== 0) continue;
      sum += value;
      count++;
    }
    if (count === 0) continue;
    const mean = sum / count;
    total += mean;
    folded++;
    for (let at = first; at < row; at++) {
      const value = kpa[at]!;
      if (value - value !== 0) continue;
      const bin = Math.min(BINS - 1, Math.floor(((timeS[at]! - from) / (to - from)) * BINS));
      sums[bin] = sums[bin]! + value - mean;
      counts[bin] = counts[bin]! + 1;
    }
  }
  const level = total / folded;
  const known = Array.from({ length: BINS }, (_, bin) =>
    counts[bin]! > 0 ? level + sums[bin]! / counts[bin]! : null,
  );
  if (known.filter((one) => one !== null).length < BINS / 3) return null;
  return known.map((value, bin) => value ?? between(known, bin));
}

function between(known: readonly (number | null)[], bin: number): number {
  let left = 1;
  let right = 1;
  while (known[(bin - left + BINS) % BINS] === null) left++;
  while (known[(bin + right) % BINS] === null) right++;
  const low = known[(bin - left + BINS) % BINS]!;
  const high = known[(bin + right) % BINS]!;
  return low + ((high - low) * left) / (left + right);
}
