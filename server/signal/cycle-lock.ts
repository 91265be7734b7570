/**
 * What the tracker holds on to once a period is found: the cylinders as they are followed and their common clock, how
 * well that goes, and whether it still may be believed.
 */
import { CrankClock } from './crank-clock.ts';
import type { FollowerSet } from './follower-set.ts';
import { periodStillHolds } from './period-search.ts';
import { partsRepeat } from './repeated-parts.ts';
import type { SampleHistory } from './sample-history.ts';

/** Pulses in a row, per steering cylinder, that may fail before the engine counts as lost. */
const FAILURES_TO_LOSE = 5;
/** Of a lock that has timed so few pulses, fewer failures are borne. */
const YOUNG_PULSES = 8;
const YOUNG_FAILURES = 2;
/** After a loss, cycles are handed out again when so many pulses were timed, per steering cylinder. */
const PROVEN_PULSES = 4;
/** The period is checked against its fractions and multiples after so many cycles. */
const CHECK_EVERY_CYCLES = 24;
const FIRST_CHECK_CYCLES = 8;
/** While the speed changes by more than this [ln] from one check to the next, checks follow each other sooner. */
const SPEED_CHANGED = 0.1;
const CHECK_SOON_CYCLES = 4;
/** So many cycles on end that are the same pulse several times over are several cycles each. */
const REPEATED_CYCLES = 2;
/** Standard uncertainty of the first pulse's time [cycles]. */
const FIRST_UNCERTAINTY = 0.03;
/** A period this far outside the range of speeds is lost. */
const PERIOD_LEEWAY = 1.25;

export interface CycleLock {
  readonly followers: FollowerSet;
  readonly clock: CrankClock;
  /** The steering pulse before the newest: where the straight line for the others begins. */
  knotPhase: number;
  knotS: number;
  /** Pulses timed, and failed in a row. */
  successes: number;
  failures: number;
  pulsesSinceCheck: number;
  checkAfterCycles: number;
  /** The period at the last check: after a blip the clock can have stayed with every other pulse. */
  checkedPeriodS: number;
  /** Pulses on end after which the cycle behind was the same pulse several times over. */
  repeats: number;
  firstPulse: { readonly phase: number; readonly timeS: number } | null;
  /** The first pass over a found stretch only teaches the usual pulses and phases. */
  readonly rehearsal: boolean;
}

export function newLock(
  followers: FollowerSet,
  phase: number,
  timeS: number,
  periodS: number,
  rehearsal: boolean,
): CycleLock {
  return {
    followers,
    clock: new CrankClock(phase, timeS, periodS, FIRST_UNCERTAINTY * periodS),
    knotPhase: phase,
    knotS: timeS,
    successes: 0,
    failures: 0,
    pulsesSinceCheck: 0,
    checkAfterCycles: FIRST_CHECK_CYCLES,
    checkedPeriodS: periodS,
    repeats: 0,
    firstPulse: null,
    rehearsal,
  };
}

/** A lock that follows a lost one may have been found in the very trouble that lost it: it must time some pulses first. */
export function lockProven({ successes, followers }: CycleLock): boolean {
  return successes >= PROVEN_PULSES * followers.steering;
}

/**
 * Whether the lock may go on after its newest pulse. Counts that pulse, and now and then looks at the period itself.
 *
 * @param pulsesPerCycle of each cylinder's hose
 * @param shortestS, longestS engine cycles that there can be [s]
 */
export function lockHolds(
  lock: CycleLock,
  history: SampleHistory,
  pulsesPerCycle: readonly number[],
  shortestS: number,
  longestS: number,
): boolean {
  const { periodS } = lock.clock;
  const { steering } = lock.followers;
  const patience = lock.successes < YOUNG_PULSES * steering ? YOUNG_FAILURES : FAILURES_TO_LOSE;
  const possible = periodS > shortestS / PERIOD_LEEWAY && periodS < PERIOD_LEEWAY * longestS;
  if (lock.failures >= patience * steering || !possible) return false;
  if (isMultiple(lock, history, pulsesPerCycle, shortestS)) return false;
  const changed = Math.abs(Math.log(periodS / lock.checkedPeriodS)) > SPEED_CHANGED;
  if (changed) lock.checkAfterCycles = Math.min(lock.checkAfterCycles, CHECK_SOON_CYCLES);
  if (++lock.pulsesSinceCheck < lock.checkAfterCycles * steering) return true;
  lock.pulsesSinceCheck = 0;
  lock.checkedPeriodS = periodS;
  lock.checkAfterCycles = Math.min(CHECK_EVERY_CYCLES, 2 * lock.checkAfterCycles);
  return periodStillHolds(history, periodS, pulsesPerCycle, shortestS);
}

/** Whether the clock counts several cycles as one, as it may after a blip in which no pulse could be seen. */
function isMultiple(
  lock: CycleLock,
  history: SampleHistory,
  pulsesPerCycle: readonly number[],
  shortestS: number,
): boolean {
  if (lock.rehearsal || lock.checkAfterCycles >= CHECK_EVERY_CYCLES) return false;
  const { timeS, periodS } = lock.clock;
  const voters = lock.followers.all.filter(
    ({ steers, cylinder }) => steers && pulsesPerCycle[cylinder] === 1,
  );
  const repeat = (parts: number) =>
    periodS / parts >= shortestS &&
    voters.every(({ cylinder }) => partsRepeat(history, cylinder, timeS - periodS, timeS, parts));
  const multiple = voters.length > 0 && (repeat(2) || repeat(3));
  lock.repeats = multiple ? lock.repeats + 1 : 0;
  return lock.repeats > REPEATED_CYCLES * lock.followers.steering;
}
