/**
 * Follows the engine cycle through the pressure of all cylinders at once.
 *
 *   searching   no period known: fold the last seconds until one explains them (`period-search.ts`)
 *   tracking    each cylinder's next pulse is forecast by one common crank clock (`crank-clock.ts`), measured
 *               against that cylinder's usual pulse (`pulse-fit.ts`), and corrects the clock in turn
 *
 * All cylinders hang on one clock, so a dead, damped or disconnected one still gets whole cycles, and the period
 * cannot jump by an octave. Everything happens at sample times: how the samples were cut into pieces on their
 * way here makes no difference.
 */
import { CrankClock } from './crank-clock.ts';
import { cycleDegrees, type EngineSetup } from './engine-setup.ts';
import { FollowerSet } from './follower-set.ts';
import { type PeriodFound, periodStillHolds, searchPeriod } from './period-search.ts';
import type { PressureCycle } from './pressure-cycle.ts';
import { pressureSwingKpa } from './pressure-swing.ts';
import type { PulseFit } from './pulse-fit.ts';
import { KNOWN_AHEAD, PulseFollower } from './pulse-follower.ts';
import type { PulseTemplate } from './pulse-template.ts';
import { partsRepeat } from './repeated-parts.ts';
import { SampleHistory } from './sample-history.ts';

export const SLOWEST_RPM = 250;
export const FASTEST_RPM = 9000;

/** At the end of a recording this part of a cycle behind the expected fall must do. */
const LOOK_AHEAD_AT_END = 0.2;
/** Between two searches for a period [s], and after so many in vain. */
const SEARCH_EVERY_S = 0.2;
const SEARCH_SELDOM_S = 0.6;
const PATIENT_SEARCHES = 20;
/** Pressure that swings less than this in a second is no running engine [kPa]. */
const RUNNING_SWING_KPA = 0.6;
/** A pulse is believed from this gain and this explained part on. */
const LEAST_GAIN = 0.35;
const LEAST_EXPLAINED = 0.35;
/** A pulse this far from its forecast is far [cycles, and standard deviations of the forecast] ... */
const FAR_CYCLES = 0.06;
const FAR_SIGMAS = 5;
/** ... and must be this strong and clear to be believed. */
const FAR_GAIN = 0.5;
const FAR_EXPLAINED = 0.6;
/** Pulses in a row, per steering cylinder, that may fail before the engine counts as lost. */
const FAILURES_TO_LOSE = 5;
/** Of a lock that has timed so few pulses, fewer failures are borne. */
const YOUNG_PULSES = 8;
const YOUNG_FAILURES = 2;
/** After a loss, cycles are handed out again when so many pulses were timed, per steering cylinder. */
const PROVEN_PULSES = 4;
/** Timing error of a pulse that no fit can undercut [cycles]: shapes differ from cycle to cycle. */
const LEAST_TIMING_SD = 0.0004;
/** The period is checked against its fractions and multiples after so many cycles. */
const CHECK_EVERY_CYCLES = 24;
const FIRST_CHECK_CYCLES = 8;
/** While the speed changes by more than this [ln] from one check to the next, checks follow each other sooner. */
const SPEED_CHANGED = 0.1;
const CHECK_SOON_CYCLES = 4;
/** So many cycles on end that are the same pulse several times over are several cycles each. */
const REPEATED_CYCLES = 2;
/** Samples missing altogether for longer than this many cycles: start afresh. */
const LONGEST_SILENCE_CYCLES = 3;
/** Standard uncertainty of the first pulse's time [cycles]. */
const FIRST_UNCERTAINTY = 0.03;
/** A period this far outside the range of speeds is lost. */
const PERIOD_LEEWAY = 1.25;

interface Lock {
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

export class CycleTracker {
  readonly history: SampleHistory;
  /** How often a lock was lost, for the diagnostics. */
  losses = 0;
  readonly #setup: EngineSetup;
  readonly #onCycle: (cycle: PressureCycle) => void;
  readonly #shortestS: number;
  readonly #longestS: number;
  #lock: Lock | null = null;
  /** Nothing needs doing before this sample time. */
  #dueS = Number.NEGATIVE_INFINITY;
  #lookAhead = KNOWN_AHEAD;
  #searches = 0;
  /** Cycles already handed out begin before this: a new lock does not go behind it. */
  #doneUntilS = Number.NEGATIVE_INFINITY;
  #nextIndex = 0;

  /**
   * @param delaysS delay of each channel's conversion behind the row's time [s]
   * @param onCycle called with each finished cycle, cylinder by cylinder
   */
  constructor(setup: EngineSetup, delaysS: readonly number[], onCycle: (cycle: PressureCycle) => void) {
    this.#setup = setup;
    this.#onCycle = onCycle;
    this.history = new SampleHistory(delaysS);
    const revolutions = cycleDegrees(setup.strokes) / 360;
    this.#shortestS = (60 * revolutions) / FASTEST_RPM;
    this.#longestS = (60 * revolutions) / SLOWEST_RPM;
  }

  /** Length of the engine cycle by the clock [s]; null while searching. */
  get periodS(): number | null {
    return this.#lock?.clock.periodS ?? null;
  }

  /** Folded usual pulse of a cylinder, or null while searching. */
  template(cylinder: number): PulseTemplate | null {
    return this.#lock?.followers.all[cylinder]?.template ?? null;
  }

  /** Whether this cylinder's own pulse is clear enough to be timed. */
  steers(cylinder: number): boolean {
    return this.#lock?.followers.all[cylinder]?.steers ?? false;
  }

  /** Noise of single samples about the usual pulse [kPa]; null when not known. */
  residualKpa(cylinder: number): number | null {
    const follower = this.#lock?.followers.all[cylinder];
    return follower !== undefined && follower.pulses > 0 ? follower.residualKpa : null;
  }

  /** Phase of each cylinder's intake after cylinder 1's [cycles, 0-1]; empty while searching, null without a pulse. */
  phases(): (number | null)[] {
    return this.#lock?.followers.phases() ?? [];
  }

  /**
   * Takes one row of absolute pressures [kPa], NaN where a channel has none.
   *
   * @returns whether it was taken: a row without a time later than the last is not
   */
  push(timeS: number, row: ArrayLike<number>): boolean {
    const { history } = this;
    if (!Number.isFinite(timeS)) return false;
    if (this.#lock !== null && history.rows > history.firstRow) {
      const silentS = timeS - history.timeOfRow(history.rows - 1);
      if (silentS > LONGEST_SILENCE_CYCLES * this.#lock.clock.periodS) this.#forget();
    }
    if (!history.push(timeS, row)) return false;
    if (timeS < this.#dueS) return true;
    if (this.#lock === null) this.#search(timeS);
    else this.#follow(this.#lock, timeS);
    return true;
  }

  /** The recording ends here: a short one may never have been searched, and the last pulses need wait no longer. */
  finish(): void {
    const { history } = this;
    if (history.finalRows <= history.firstRow) return;
    const endS = history.timeOfRow(history.finalRows - 1);
    if (this.#lock === null) this.#search(endS);
    this.#lookAhead = LOOK_AHEAD_AT_END;
    if (this.#lock !== null) this.#follow(this.#lock, endS);
    this.#lookAhead = KNOWN_AHEAD;
  }

  /** Time starts anew, or jumped by an unknown length: forget the crank and the samples. */
  breakInSamples(): void {
    this.#forget();
    this.#doneUntilS = Number.NEGATIVE_INFINITY;
  }

  #forget(): void {
    this.#lose();
    this.history.clear();
  }

  #search(timeS: number): void {
    this.#dueS = timeS + (this.#searches > PATIENT_SEARCHES ? SEARCH_SELDOM_S : SEARCH_EVERY_S);
    this.#searches++;
    if (pressureSwingKpa(this.history, timeS) < RUNNING_SWING_KPA) return;
    const found = searchPeriod(this.history, this.#shortestS, this.#longestS, this.#setup.pulsesPerCycle);
    if (found === null) return;
    const fromS = Math.max(found.fromS, this.#doneUntilS);
    const rehearsal = this.#rehearse(found, fromS);
    this.#lock = rehearsal;
    this.#follow(rehearsal, timeS);
    if (this.#lock !== rehearsal) return;
    const { followers, firstPulse } = rehearsal;
    followers.align();
    for (const follower of followers.all) follower.restart(this.#nextIndex);
    const start = firstPulse ?? { phase: this.#nextIndex, timeS: fromS };
    this.#lock = newLock(followers, start.phase, start.timeS, found.periodS, false);
    this.#follow(this.#lock, timeS);
  }

  #rehearse(found: PeriodFound, fromS: number): Lock {
    const followers = new FollowerSet(
      found.explained.map((explained, cylinder) => {
        const pulses = this.#setup.pulsesPerCycle[cylinder]!;
        return new PulseFollower(this.history, cylinder, pulses, fromS, found.periodS, explained);
      }),
    );
    followers.align();
    for (const follower of followers.all) follower.restart(this.#nextIndex);
    return newLock(followers, this.#nextIndex, fromS, found.periodS, true);
  }

  #follow(lock: Lock, timeS: number): void {
    // A row can still be mended while it is the newest: look no further than the one before.
    const knownS = this.history.timeOfRow(this.history.finalRows - 1);
    while (this.#lock === lock) {
      const follower = lock.followers.next(true)!;
      const dueS = lock.clock.timeOfPhase(follower.nextPhase) + this.#lookAhead * lock.clock.periodS;
      if (knownS < dueS || !this.#takePulse(lock, follower, knownS)) {
        this.#dueS = Math.max(dueS, knownS);
        return;
      }
    }
    this.#dueS = timeS + SEARCH_EVERY_S;
  }

  /** @returns false when it must wait for more samples */
  #takePulse(lock: Lock, follower: PulseFollower, knownS: number): boolean {
    const { clock } = lock;
    const phase = follower.nextPhase;
    if (phase !== clock.phase) {
      lock.knotPhase = clock.phase;
      lock.knotS = clock.timeS;
      clock.advanceTo(phase);
    }
    const { timeS: expectedS, periodS } = clock;
    const fit = follower.fit(expectedS, periodS);
    const verdict = fit === null ? 'refused' : this.#judge(lock, follower, fit, knownS);
    if (verdict === 'wait') return false;
    const believed = fit !== null && verdict === 'believed';
    follower.noteExplained(fit, believed);
    if (believed) {
      if (fit.speedRatio !== 1) clock.changeSpeed(fit.speedRatio);
      const variance = (fit.shiftVariance + LEAST_TIMING_SD * LEAST_TIMING_SD) * periodS * periodS;
      follower.followPhase(clock.correct(expectedS + fit.shift * periodS, variance), periodS);
      lock.firstPulse ??= { phase, timeS: clock.timeS };
      lock.successes++;
      lock.failures = 0;
    } else if (fit !== null) lock.failures++;
    this.#endPulse(lock, follower, clock.timeS, believed, fit, periodS);
    lock.followers.demote(follower);
    this.#carryAlong(lock);
    this.#checkLock(lock);
    return true;
  }

  /**
   * A weak or strange pulse can be fitted almost anywhere. One that lies far from its forecast is believed only if it
   * is strong and the next pulse, of another cylinder, lies off to the same side: then it is the speed that changed.
   *
   * @returns 'wait' when the samples of that next pulse are not there yet
   */
  #judge(
    lock: Lock,
    follower: PulseFollower,
    fit: PulseFit,
    knownS: number,
  ): 'believed' | 'refused' | 'wait' {
    if (fit.gain < LEAST_GAIN || fit.explained < LEAST_EXPLAINED) return 'refused';
    const side = farSide(fit, lock.clock);
    if (side === 0 || lock.rehearsal || lock.successes === 0) return 'believed';
    if (fit.gain < FAR_GAIN || fit.explained < FAR_EXPLAINED) return 'refused';
    const other = lock.followers.next(true, follower);
    if (other === null) return 'believed';
    const { periodS } = lock.clock;
    const expectedS = lock.clock.timeOfPhase(other.nextPhase);
    if (knownS < expectedS + this.#lookAhead * periodS) return 'wait';
    const second = other.fit(expectedS, periodS);
    const seconded =
      second !== null &&
      second.gain >= FAR_GAIN &&
      second.explained >= FAR_EXPLAINED &&
      farSide(second, lock.clock) === side;
    return seconded ? 'believed' : 'refused';
  }

  /** Cylinders that do not steer get their boundaries on the straight line between the pulses of those that do. */
  #carryAlong(lock: Lock): void {
    const { clock } = lock;
    for (;;) {
      const follower = lock.followers.next(false);
      if (follower === null || follower.nextPhase > clock.phase) return;
      const stepPhase = clock.phase - lock.knotPhase;
      const back = clock.phase - follower.nextPhase;
      const boundaryS =
        stepPhase > 0
          ? clock.timeS - (back * (clock.timeS - lock.knotS)) / stepPhase
          : clock.timeOfPhase(follower.nextPhase);
      const fit = follower.fit(boundaryS, clock.periodS);
      follower.noteExplained(fit, true);
      if (follower.mayWake) follower.wake(boundaryS, clock.periodS);
      else this.#endPulse(lock, follower, boundaryS, false, fit, clock.periodS);
    }
  }

  #endPulse(
    lock: Lock,
    follower: PulseFollower,
    boundaryS: number,
    measured: boolean,
    fit: PulseFit | null,
    periodS: number,
  ): void {
    const cycle = lock.rehearsal
      ? null
      : follower.cycleUntil(boundaryS, measured, fit, [periodS, lock.clock.periodS]);
    follower.begin(boundaryS, measured, fit, periodS);
    if (!lock.rehearsal) this.#nextIndex = Math.max(this.#nextIndex, follower.next);
    if (cycle === null || !this.#proven(lock)) return;
    this.#doneUntilS = Math.max(this.#doneUntilS, cycle.startS);
    this.#onCycle(cycle);
  }

  /** A lock that follows a lost one may have been found in the very trouble that lost it: it must time some pulses first. */
  #proven(lock: Lock): boolean {
    return this.losses === 0 || lock.successes >= PROVEN_PULSES * lock.followers.steering;
  }

  #checkLock(lock: Lock): void {
    const { periodS } = lock.clock;
    const { steering } = lock.followers;
    const patience = lock.successes < YOUNG_PULSES * steering ? YOUNG_FAILURES : FAILURES_TO_LOSE;
    const possible = periodS > this.#shortestS / PERIOD_LEEWAY && periodS < PERIOD_LEEWAY * this.#longestS;
    if (lock.failures >= patience * steering || !possible) {
      this.#lose();
      return;
    }
    if (this.#isMultiple(lock)) {
      this.#lose();
      return;
    }
    const changed = Math.abs(Math.log(periodS / lock.checkedPeriodS)) > SPEED_CHANGED;
    if (changed) lock.checkAfterCycles = Math.min(lock.checkAfterCycles, CHECK_SOON_CYCLES);
    if (++lock.pulsesSinceCheck < lock.checkAfterCycles * steering) return;
    lock.pulsesSinceCheck = 0;
    lock.checkedPeriodS = periodS;
    lock.checkAfterCycles = Math.min(CHECK_EVERY_CYCLES, 2 * lock.checkAfterCycles);
    const holds = periodStillHolds(this.history, periodS, this.#setup.pulsesPerCycle, this.#shortestS);
    if (!holds) this.#lose();
  }

  /** Whether the clock counts several cycles as one, as it may after a blip in which no pulse could be seen. */
  #isMultiple(lock: Lock): boolean {
    if (lock.rehearsal || lock.checkAfterCycles >= CHECK_EVERY_CYCLES) return false;
    const { timeS, periodS } = lock.clock;
    const voters = lock.followers.all.filter(
      ({ steers, cylinder }) => steers && this.#setup.pulsesPerCycle[cylinder] === 1,
    );
    const repeat = (parts: number) =>
      periodS / parts >= this.#shortestS &&
      voters.every(({ cylinder }) => partsRepeat(this.history, cylinder, timeS - periodS, timeS, parts));
    const multiple = voters.length > 0 && (repeat(2) || repeat(3));
    lock.repeats = multiple ? lock.repeats + 1 : 0;
    return lock.repeats > REPEATED_CYCLES * lock.followers.steering;
  }

  #lose(): void {
    if (this.#lock !== null) this.losses++;
    this.#lock = null;
    this.#dueS = Number.NEGATIVE_INFINITY;
    this.#searches = 0;
  }
}

function newLock(
  followers: FollowerSet,
  phase: number,
  timeS: number,
  periodS: number,
  rehearsal: boolean,
): Lock {
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

/** -1 or 1 when a pulse is far too early or too late for its forecast, else 0. */
function farSide(fit: PulseFit, clock: CrankClock): number {
  const far = Math.max(FAR_CYCLES, (FAR_SIGMAS * clock.forecastSd) / clock.periodS);
  if (Math.abs(fit.shift) <= far && fit.speedRatio === 1) return 0;
  return Math.sign(fit.shift) || Math.sign(1 - fit.speedRatio);
}
