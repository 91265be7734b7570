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
import { type CycleLock, lockHolds, lockProven, newLock } from './cycle-lock.ts';
import { type EngineSetup, revolutionsPerCycle } from './engine-setup.ts';
import { FollowerSet } from './follower-set.ts';
import { type PeriodFound, searchPeriod } from './period-search.ts';
import type { PressureCycle } from './pressure-cycle.ts';
import { pressureSwingKpa } from './pressure-swing.ts';
import { pulseBelief } from './pulse-belief.ts';
import type { PulseFit } from './pulse-fit.ts';
import { KNOWN_AHEAD, PulseFollower } from './pulse-follower.ts';
import type { PulseTemplate } from './pulse-template.ts';
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
/** Timing error of a pulse that no fit can undercut [cycles]: shapes differ from cycle to cycle. */
const LEAST_TIMING_SD = 0.0004;
/** Samples missing altogether for longer than this many cycles: start afresh. */
const LONGEST_SILENCE_CYCLES = 3;
export class CycleTracker {
  readonly history: SampleHistory;
  /** How often a lock was lost, for the diagnostics. */
  losses = 0;
  readonly #setup: EngineSetup;
  readonly #onCycle: (cycle: PressureCycle) => void;
  readonly #shortestS: number;
  readonly #longestS: number;
  #lock: CycleLock | null = null;
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
    const revolutions = revolutionsPerCycle(setup.strokes);
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

  #rehearse(found: PeriodFound, fromS: number): CycleLock {
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

  #follow(lock: CycleLock, timeS: number): void {
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
  #takePulse(lock: CycleLock, follower: PulseFollower, knownS: number): boolean {
    const { clock } = lock;
    const phase = follower.nextPhase;
    if (phase !== clock.phase) {
      lock.knotPhase = clock.phase;
      lock.knotS = clock.timeS;
      clock.advanceTo(phase);
    }
    const { timeS: expectedS, periodS } = clock;
    const fit = follower.fit(expectedS, periodS);
    const belief = fit === null ? 'refused' : pulseBelief(lock, follower, fit, knownS, this.#lookAhead);
    if (belief === 'wait') return false;
    const believed = fit !== null && belief === 'believed';
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
    if (!lockHolds(lock, this.history, this.#setup.pulsesPerCycle, this.#shortestS, this.#longestS))
      this.#lose();
    return true;
  }

  /** Cylinders that do not steer get their boundaries on the straight line between the pulses of those that do. */
  #carryAlong(lock: CycleLock): void {
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
    lock: CycleLock,
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
    if (cycle === null || (this.losses > 0 && !lockProven(lock))) return;
    this.#doneUntilS = Math.max(this.#doneUntilS, cycle.startS);
    this.#onCycle(cycle);
  }

  #lose(): void {
    if (this.#lock !== null) this.losses++;
    this.#lock = null;
    this.#dueS = Number.NEGATIVE_INFINITY;
    this.#searches = 0;
  }
}
