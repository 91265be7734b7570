/** Inside, outside or not sure yet: a gap against the tolerance, with its interval. */
import type { Verdict } from './reading.ts';

/** More cycles than this are not worth waiting for: then nothing is promised. */
const MOST_CYCLES_NEEDED = 2000;

/**
 * @param gapKpa difference to the reference
 * @param expandedKpa its expanded uncertainty, k = 2
 */
export function balanceVerdict(
  gapKpa: number | null,
  expandedKpa: number | null,
  toleranceKpa: number,
): Verdict {
  if (gapKpa === null || expandedKpa === null) return 'not-sure';
  const distance = Math.abs(gapKpa);
  if (distance + expandedKpa <= toleranceKpa) return 'inside';
  if (distance - expandedKpa > toleranceKpa) return 'outside';
  return 'not-sure';
}

/**
 * Cycles still needed until the interval no longer straddles the edge of the band, if the gap stays where it is.
 *
 * @param cycles cycles in the mean so far
 * @param randomExpandedKpa the part of the expanded uncertainty that shrinks with the square root of the cycles
 * @param fixedExpandedKpa the part that does not: calibration
 * @returns null when no number of cycles decides it, or too many
 */
export function cyclesNeeded(
  gapKpa: number,
  toleranceKpa: number,
  cycles: number,
  randomExpandedKpa: number,
  fixedExpandedKpa: number,
): number | null {
  const room = Math.abs(Math.abs(gapKpa) - toleranceKpa);
  const allowed = room * room - fixedExpandedKpa * fixedExpandedKpa;
  if (!(allowed > 0)) return null;
  const needed = Math.ceil((cycles * randomExpandedKpa * randomExpandedKpa) / allowed) - cycles;
  if (needed > MOST_CYCLES_NEEDED) return null;
  return Math.max(0, needed);
}
