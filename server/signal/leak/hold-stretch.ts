/**
 * Finds the part of a record in which a pumped-down part was left alone: after the last stroke of the pump that came
 * before it, and before the next one, or before the hose was pulled off.
 *
 * Each stroke is a fall of pressure, and a leak never falls: the stretch lies between falls. A leak also never rises
 * faster than at its beginning, so a much quicker rise later on is a hand, not a leak.
 */
import { noiseOfSeries } from '../../../calibration/robust-scatter.ts';

/** Samples are put together into blocks of this length [s], or are blocks themselves when they are slower. */
const BLOCK_S = 0.05;
/** A stroke falls within this time [s] ... */
const STROKE_S = 0.4;
/** ... by more than this [kPa], and by this many standard deviations of a block. */
const LEAST_STROKE_KPA = 0.4;
const STROKE_SIGMAS = 8;
/** A quick rise is one within this time [s] ... */
const RISE_S = 0.3;
/** ... by more than this [kPa], and this many times what the quickest before it was. */
const LEAST_RISE_KPA = 3;
const RISE_FACTOR = 4;
/** After the last stroke the thinned air warms up again at the wall: so much is left out [s], at most that part. */
const SETTLE_S = 0.3;
const SETTLE_SHARE = 0.05;

export interface HoldStretch {
  /** First and last row, the last not included. */
  readonly fromRow: number;
  readonly toRow: number;
  /** When the pump was taken off [s]; null when the record has no stroke in it. */
  readonly pumpedUntilS: number | null;
}

/**
 * @param timeS rising times [s]
 * @param kpa absolute pressure, as many; NaN where a sample is missing
 * @returns null when there is no stretch of at least three blocks
 */
export function findHoldStretch(timeS: ArrayLike<number>, kpa: ArrayLike<number>): HoldStretch | null {
  const blocks = blocksOf(timeS, kpa);
  if (blocks.length < 3) return null;
  const noise = noiseOfSeries(blocks.map((block) => block.kpa));
  const strokeKpa = Math.max(LEAST_STROKE_KPA, STROKE_SIGMAS * noise);
  const falls = fallsOf(blocks, strokeKpa);
  let best: { from: number; to: number; pumped: boolean } | null = null;
  for (let index = -1; index < falls.length; index++) {
    const from = index < 0 ? 0 : falls[index]!.bottom;
    const limit = falls[index + 1]?.top ?? blocks.length;
    const to = cutAtRise(blocks, from, limit, noise);
    if (to - from >= 3 && (best === null || to - from > best.to - best.from))
      best = { from, to, pumped: index >= 0 };
  }
  if (best === null) return null;
  const startS = blocks[best.from]!.timeS;
  const endS = blocks[best.to - 1]!.timeS;
  const beginS = best.pumped ? startS + Math.min(SETTLE_S, SETTLE_SHARE * (endS - startS)) : startS;
  let fromRow = blocks[best.from]!.firstRow;
  while (best.pumped && fromRow < timeS.length && timeS[fromRow]! < beginS) fromRow++;
  const toRow = best.to < blocks.length ? blocks[best.to]!.firstRow : timeS.length;
  return { fromRow, toRow, pumpedUntilS: best.pumped ? startS : null };
}

interface Block {
  readonly timeS: number;
  readonly kpa: number;
  readonly firstRow: number;
}

function blocksOf(timeS: ArrayLike<number>, kpa: ArrayLike<number>): Block[] {
  const blocks: Block[] = [];
  let row = 0;
  while (row < timeS.length) {
    const firstRow = row;
    const endS = timeS[row]! + BLOCK_S;
    let sum = 0;
    let sumS = 0;
    let count = 0;
    do {
      const value = kpa[row]!;
      if (value - value === 0) {
        sum += value;
        sumS += timeS[row]!;
        count++;
      }
      row++;
    } while (row < timeS.length && timeS[row]! < endS);
    if (count > 0) blocks.push({ timeS: sumS / count, kpa: sum / count, firstRow });
  }
  return blocks;
}

/** Blocks where each fall begins and ends. */
function fallsOf(blocks: readonly Block[], strokeKpa: number): { top: number; bottom: number }[] {
  const falls: { top: number; bottom: number }[] = [];
  for (let at = 1; at < blocks.length; at++) {
    let top = at;
    for (let back = at - 1; back >= 0 && blocks[at]!.timeS - blocks[back]!.timeS <= STROKE_S; back--)
      if (blocks[back]!.kpa > blocks[top]!.kpa) top = back;
    if (blocks[top]!.kpa - blocks[at]!.kpa < strokeKpa) continue;
    const last = falls.at(-1);
    if (last !== undefined && top <= last.bottom) {
      if (blocks[at]!.kpa < blocks[last.bottom]!.kpa) last.bottom = at;
    } else falls.push({ top, bottom: at });
  }
  return falls;
}

/** End of the stretch: the first rise much quicker than any before it. */
function cutAtRise(blocks: readonly Block[], from: number, to: number, noise: number): number {
  let quickest = Math.max(LEAST_RISE_KPA / RISE_FACTOR, STROKE_SIGMAS * noise);
  let back = from;
  for (let at = from + 1; at < to; at++) {
    while (blocks[at]!.timeS - blocks[back]!.timeS > RISE_S && back + 1 < at) back++;
    const rise = blocks[at]!.kpa - blocks[back]!.kpa;
    const early = blocks[at]!.timeS - blocks[from]!.timeS <= RISE_S;
    if (!early && rise > RISE_FACTOR * quickest) return back + 1;
    quickest = Math.max(quickest, rise);
  }
  return to;
}
