/** Whether a set is balanced, is about to be, or needs a turn: gaps with their uncertainty against the tolerance. */
import { balanceVerdict } from '../balance-verdict.ts';
import type { Reading, Verdict } from '../reading.ts';

/** Of one cylinder to the reference [kPa]. */
export interface Gap {
  readonly gapKpa: number | null;
  /** Expanded uncertainty, k = 2 [kPa]. */
  readonly expandedKpa: number | null;
}

/** A gap that may lie on either side of the edge is waited for through so many cycles. */
const WAIT_CYCLES = 60;
/** And longer when so many more would bring it inside, but not longer than this. */
const WAIT_AHEAD_CYCLES = 120;
const MOST_WAIT_CYCLES = 180;
/** 'Equal' is said when so many expanded uncertainties fit inside, or after so many cycles. */
const EQUAL_MARGIN = 1.5;
const EQUAL_CYCLES = 40;

export function readingGaps(reading: Reading): Gap[] {
  return reading.cylinders.map(({ gapKpa, gapExpandedKpa }) => ({ gapKpa, expandedKpa: gapExpandedKpa }));
}

/** Of all cylinders together. */
export function overallVerdict(gaps: readonly Gap[], toleranceKpa: number): Verdict {
  const verdicts = gaps.map(({ gapKpa, expandedKpa }) => balanceVerdict(gapKpa, expandedKpa, toleranceKpa));
  if (verdicts.includes('outside')) return 'outside';
  return verdicts.every((verdict) => verdict === 'inside') ? 'inside' : 'not-sure';
}

/** The first look at which all are inside may be a lucky one: it takes a margin, or some more cycles. */
export function isSurelyInside(gaps: readonly Gap[], cycles: number, toleranceKpa: number): boolean {
  return fitsInside(gaps, cycles >= EQUAL_CYCLES ? 1 : EQUAL_MARGIN, toleranceKpa);
}

/** Whether waiting for some more cycles is likely to bring all inside without a turn. */
export function maySettleItself(gaps: readonly Gap[], cycles: number, toleranceKpa: number): boolean {
  if (cycles < WAIT_CYCLES) return true;
  if (cycles > MOST_WAIT_CYCLES) return false;
  return fitsInside(gaps, Math.sqrt(cycles / (cycles + WAIT_AHEAD_CYCLES)), toleranceKpa);
}

function fitsInside(gaps: readonly Gap[], margin: number, toleranceKpa: number): boolean {
  return gaps.every(
    ({ gapKpa, expandedKpa }) =>
      gapKpa !== null && expandedKpa !== null && Math.abs(gapKpa) + margin * expandedKpa <= toleranceKpa,
  );
}
