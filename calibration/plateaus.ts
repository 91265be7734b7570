import { BLOCK_S, type Block } from './block-means.ts';
import { noiseOfSeries } from './robust-scatter.ts';

/** A steady stretch in a record of steps of pressure made by hand. */
export interface Plateau {
  /** Rows from … to - 1 of the record. */
  readonly from: number;
  readonly to: number;
  readonly fromS: number;
  readonly toS: number;
  readonly meanKpa: number;
}

/** A step is held at least so long [s]. */
export const SHORTEST_STEP_S = 1.5;
/** The pressure may creep by so much within a step, beyond what noise explains [kPa]. */
export const STEADY_WITHIN_KPA = 0.4;
/** Neighbouring stretches closer than this are one step with a bump in it [kPa]. */
export const DISTINCT_KPA = 2;
/** Range of the blocks' noise that counts as noise, in its standard deviations. */
const NOISE_RANGE = 5;

/**
 * Finds the longest stretch within which the mean of the channels stays level, then the longest of what is left,
 * and so on.
 *
 * @returns in the order of time, none overlapping, neighbours at least `DISTINCT_KPA` apart
 */
export function findPlateaus(blocks: readonly Block[]): Plateau[] {
  const limit = STEADY_WITHIN_KPA + NOISE_RANGE * noiseOfSeries(blocks.map(({ meanKpa }) => meanKpa));
  const free = blocks.map(() => true);
  const runs: Run[] = [];
  for (;;) {
    const run = longestRun(blocks, free, limit);
    if (run === null || run.lengthS < SHORTEST_STEP_S) break;
    runs.push(run);
    for (let block = run.first; block <= run.last; block++) free[block] = false;
  }
  runs.sort((a, b) => a.first - b.first);
  return distinct(runs).map(({ first, last, meanKpa }) => ({
    from: blocks[first]!.from,
    to: blocks[last]!.to,
    fromS: blocks[first]!.startS,
    toS: blocks[last]!.endS,
    meanKpa,
  }));
}

interface Run {
  readonly first: number;
  readonly last: number;
  readonly lengthS: number;
  readonly meanKpa: number;
}

/** Longest run of free blocks whose means all lie within the limit, without a hole in time. */
function longestRun(blocks: readonly Block[], free: readonly boolean[], limit: number): Run | null {
  let best: Run | null = null;
  const wholeEndS = blocks.at(-1)?.endS ?? 0;
  for (let first = 0; first < blocks.length; first++) {
    if (best !== null && wholeEndS - blocks[first]!.startS <= best.lengthS) break;
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    let sum = 0;
    let end = first;
    for (; end < blocks.length; end++) {
      const { meanKpa, startS } = blocks[end]!;
      if (!free[end] || !Number.isFinite(meanKpa)) break;
      if (end > first && startS - blocks[end - 1]!.endS > BLOCK_S) break;
      low = Math.min(low, meanKpa);
      high = Math.max(high, meanKpa);
      if (high - low > limit) break;
      sum += meanKpa;
    }
    if (end === first) continue;
    const lengthS = blocks[end - 1]!.endS - blocks[first]!.startS;
    if (best === null || lengthS > best.lengthS)
      best = { first, last: end - 1, lengthS, meanKpa: sum / (end - first) };
  }
  return best;
}

/** Of neighbours at one level only the longest stays. */
function distinct(runs: readonly Run[]): Run[] {
  const kept: Run[] = [];
  for (const run of runs) {
    const before = kept.at(-1);
    if (before === undefined || Math.abs(before.meanKpa - run.meanKpa) >= DISTINCT_KPA) kept.push(run);
    else if (run.lengthS > before.lengthS) kept[kept.length - 1] = run;
  }
  return kept;
}
