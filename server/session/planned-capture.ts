/** A capture that starts and ends by itself. Pure: times are those of the readings. */
import type { CapturePlan, PlannedCapture } from '../contract/captures.ts';
import type { Settling, Verdict } from '../signal/reading.ts';

/** What was waited for has to last so long [s]. */
export const HOLDS_S = 2;
/** A capture is no shorter, however sure it is [s]. */
export const LEAST_S = 5;
/** And no longer, however unsure [s]. */
export const MOST_S = 60;
/** Its interval is small enough at this part of the tolerance. */
export const SURE_PART = 0.25;

export interface PlanSeen {
  /** Of the newest sample [s]. */
  readonly timeS: number;
  /** Whether there is a reading of the largest difference, or of the vacuum where there is one cylinder. */
  readonly known: boolean;
  readonly settling: Settling;
  readonly verdict: Verdict;
  readonly toleranceKpa: number;
  /** Expanded uncertainty of the capture that runs [kPa], or null while it has none. */
  readonly captureExpandedKpa: number | null;
}

export interface PlanState {
  readonly plan: CapturePlan;
  readonly phase: 'waiting' | 'recording';
  /** Waiting: since when it is as wished [s], or null while it is not. Recording: since when. */
  readonly sinceS: number | null;
}

export function newPlan(plan: CapturePlan): PlanState {
  return { plan, phase: 'waiting', sinceS: null };
}

/** @returns what the plan has come to, and whether the capture is to be started or ended now */
export function stepPlan(state: PlanState, seen: PlanSeen): readonly [PlanState, 'start' | 'stop' | null] {
  const { timeS } = seen;
  // A board that starts anew counts from 0 again.
  const sinceS = state.sinceS === null || state.sinceS > timeS ? null : state.sinceS;
  if (state.phase === 'recording') {
    const elapsedS = timeS - (sinceS ?? timeS);
    const sure = seen.captureExpandedKpa !== null && seen.captureExpandedKpa <= SURE_PART * seen.toleranceKpa;
    const done = elapsedS >= MOST_S || (elapsedS >= LEAST_S && sure);
    return [{ ...state, sinceS: sinceS ?? timeS }, done ? 'stop' : null];
  }
  const asWished =
    seen.known && seen.settling === 'steady' && (state.plan.when === 'steady' || seen.verdict === 'inside');
  if (!asWished) return [{ ...state, sinceS: null }, null];
  if (sinceS === null || timeS - sinceS < HOLDS_S) return [{ ...state, sinceS: sinceS ?? timeS }, null];
  return [{ ...state, phase: 'recording', sinceS: timeS }, 'start'];
}

/** As the screens show it. */
export function planView({ plan, phase, sinceS }: PlanState, seen: PlanSeen): PlannedCapture {
  const elapsedS = sinceS === null ? 0 : Math.max(0, seen.timeS - sinceS);
  return {
    ...plan,
    phase,
    startsInS: phase === 'waiting' && sinceS !== null ? Math.max(0, HOLDS_S - elapsedS) : null,
    elapsedS: phase === 'recording' ? elapsedS : 0,
    endsWithinS: MOST_S - (phase === 'recording' ? elapsedS : 0),
    expandedKpa: phase === 'recording' ? seen.captureExpandedKpa : null,
    sureAtKpa: SURE_PART * seen.toleranceKpa,
  };
}
