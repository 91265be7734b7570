import type { Update } from '../../server/contract/live.ts';
import { beatHz, SLOWEST_BEAT_HZ } from './beat-law.ts';

/** What is to be heard. */
export interface Cue {
  /** 0 is one steady tone, null is silence. */
  readonly beatHz: number | null;
  /** The two cylinders compared, 1-based; the first is heard on the left. */
  readonly sides: readonly [number, number] | null;
  readonly firstPullsMore: boolean;
}

export const SILENCE: Cue = { beatHz: null, sides: null, firstPullsMore: true };

/**
 * The cue for a reading: the cylinders furthest apart are compared and the beat follows the one furthest from the
 * reference. Only a reading that is surely inside sounds steady.
 */
export function cueOf(update: Update | null, toleranceKpa: number): Cue {
  if (update === null) return SILENCE;
  const known = update.cylinders
    .filter(({ gapKpa }) => gapKpa !== null)
    .sort((a, b) => b.gapKpa! - a.gapKpa!);
  const most = known[0];
  const least = known.at(-1);
  if (most === undefined || least === undefined || most === least) return SILENCE;
  const furthestKpa = Math.max(Math.abs(most.gapKpa!), Math.abs(least.gapKpa!));
  const beat =
    update.verdict === 'inside' ? 0 : Math.max(SLOWEST_BEAT_HZ, beatHz(furthestKpa, toleranceKpa) ?? 0);
  const firstPullsMore = most.cylinder < least.cylinder;
  const sides = firstPullsMore
    ? ([most.cylinder, least.cylinder] as const)
    : ([least.cylinder, most.cylinder] as const);
  return { beatHz: beat, sides, firstPullsMore };
}
