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
import { periodStillHolds, searchPeriod } from './period-search.ts';
import type { PressureCycle } from './pressure-cycle.ts';
import { fitPulse, measureDepth, type PulseDepth, type PulseFit } from './pulse-fit.ts';
import { PulseTemplate } from './pulse-template.ts';
import { SampleHistory } from './sample-history.ts';
import { sparseMean } from './sparse-mean.ts';

export const SLOWEST_RPM = 250;
export const FASTEST_RPM = 9000;

/** A pulse is measured when this part of a cycle behind its expected fall is known. */
const LOOK_AHEAD = 0.3;
/** At the end of a recording this much must do. */
const LOOK_AHEAD_AT_END = 0.2;
/** Between two searches for a period [s]. */
const SEARCH_EVERY_S = 0.2;
const SEARCH_SELDOM_S = 0.6;
/** Searches in vain after which they become seldom. */
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
/** Running mean of `explained` below and above which a cylinder stops and starts to steer the clock. */
const DEMOTE_BELOW = 0.2;
const PROMOTE_ABOVE = 0.4;
const EXPLAINED_MEMORY = 0.1;
/** Pulses in a row, per steering cylinder, that may fail before the engine counts as lost. */
const FAILURES_TO_LOSE = 5;
/** Of a lock that has timed so few pulses, fewer failures are borne. */
const YOUNG_PULSES = 8;
const YOUNG_FAILURES = 2;
/** A pulse shallower than this part of the usual is not folded into the usual. */
const FOLD_FROM_GAIN = 0.5;
/** Unless so many in a row are: then the engine has changed. */
const ACCEPT_AFTER = 6;
/** A cycle with a hole longer than this part of it has no mean. */
const LONGEST_HOLE = 0.05;
/** A cycle that differs by more than this part from the clock's is not handed out. */
const LARGEST_CHANGE = 0.22;
/** And with one longer than this it is not fitted either. */
const LONGEST_HOLE_TO_FIT = 0.25;
/** A cylinder without a pulse may steer again from this depth on [kPa]. */
const PROMOTE_DEPTH_KPA = 0.3;
/** How fast a cylinder's phase may follow its pulses, per pulse, once it is known. */
const LEAST_PHASE_RATE = 0.03;
/** With fewer samples per cycle than this, straight lines between them miss the pulse's corners. */
const SPARSE_SAMPLES = 9;
/** Timing error of a pulse that no fit can undercut [cycles]: shapes differ from cycle to cycle. */
const LEAST_TIMING_SD = 0.0004;
/** The period is checked against its fractions and multiples after so many cycles. */
const CHECK_EVERY_CYCLES = 24;
const FIRST_CHECK_CYCLES = 8;
/** Samples missing altogether for longer than this many cycles: start afresh. */
const LONGEST_SILENCE_CYCLES = 3;
/** Standard uncertainty of the first pulse's time, in cycles. */
const FIRST_UNCERTAINTY = 0.03;

interface Follower {
  readonly template: PulseTemplate;
  /** Phase of this cylinder's fall within the engine cycle [cycles]. */
  phase: number;
  /** Cycle number of the next pulse. */
  next: number;
  /** Start of the cycle under way, or NaN. */
  startS: number;
  startMeasured: boolean;
  startFit: PulseFit | null;
  startDepth: PulseDepth | null;
  steers: boolean;
  explained: number;
  pulses: number;
  shallow: number;
  residualKpa: number;
}

export type TrackerState = 'searching' | 'tracking';

export class CycleTracker {
  readonly history: SampleHistory;
  state: TrackerState = 'searching';
  /** How often a lock was lost, for the diagnostics. */
  losses = 0;
  readonly #setup: EngineSetup;
  readonly #onCycle: (cycle: PressureCycle) => void;
  readonly #shortestS: number;
  readonly #longestS: number;
  #clock: CrankClock | null = null;
  #followers: Follower[] = [];
  #dueS = Number.NEGATIVE_INFINITY;
  #lookAhead = LOOK_AHEAD;
  #failures = 0;
  #successes = 0;
  #searches = 0;
  #cyclesSinceCheck = 0;
  #checkAfterCycles = FIRST_CHECK_CYCLES;
  /** Cycles already handed out end here: a new lock does not go behind it. */
  #doneUntilS = Number.NEGATIVE_INFINITY;
  #nextIndex = 0;
  /** The steering pulse before the newest: where the straight line for the others begins. */
  #knotPhase = 0;
  #knotS = 0;
  /** The first pass over a found stretch only teaches the templates and phases. */
  #rehearsing = false;
  #firstPulse: { readonly phase: number; readonly timeS: number } | null = null;

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
    return this.#clock === null ? null : this.#clock.periodS;
  }

  /** Folded usual pulse of a cylinder, or null while searching. */
  template(cylinder: number): PulseTemplate | null {
    return this.#followers[cylinder]?.template ?? null;
  }

  /** Whether this cylinder's own pulse is clear enough to be timed. */
  steers(cylinder: number): boolean {
    return this.#followers[cylinder]?.steers ?? false;
  }

  /** Noise of single samples about the usual pulse [kPa]; null when not known. */
  residualKpa(cylinder: number): number | null {
    const follower = this.#followers[cylinder];
    return follower && follower.pulses > 0 ? follower.residualKpa : null;
  }

  /** Phase of each cylinder's intake after cylinder 1's [cycles, 0-1]; null while searching or without a pulse. */
  phases(): (number | null)[] {
    const first = this.#followers[0];
    return this.#followers.map((follower) => {
      if (!first?.steers || !follower.steers) return null;
      const difference = follower.phase - first.phase;
      return difference - Math.floor(difference);
    });
  }

  /** Takes one row of absolute pressures [kPa], NaN where a channel has none. */
  push(timeS: number, row: ArrayLike<number>): void {
    const clock = this.#clock;
    if (clock !== null && this.history.rows > this.history.firstRow) {
      const silentS = timeS - this.history.timeOfRow(this.history.rows - 1);
      if (silentS > LONGEST_SILENCE_CYCLES * clock.periodS) this.breakInSamples();
    }
    if (!this.history.push(timeS, row)) return;
    if (timeS < this.#dueS) return;
    if (this.#clock === null) this.#search(timeS);
    else this.#follow(timeS);
  }

  /**
   * The recording ends here: a short one may never have been searched, and the last pulses need not wait for the
   * whole of their cycle.
   */
  finish(): void {
    const { history } = this;
    if (history.finalRows <= history.firstRow) return;
    const endS = history.timeOfRow(history.finalRows - 1);
    if (this.#clock === null) this.#search(endS);
    this.#lookAhead = LOOK_AHEAD_AT_END;
    if (this.#clock !== null) this.#follow(endS);
    this.#lookAhead = LOOK_AHEAD;
  }

  /** Time has a gap of unknown length, or the engine is another: forget the crank and the samples. */
  breakInSamples(): void {
    this.#lose();
    this.history.clear();
    this.#searches = 0;
  }

  #search(timeS: number): void {
    this.#dueS = timeS + (this.#searches > PATIENT_SEARCHES ? SEARCH_SELDOM_S : SEARCH_EVERY_S);
    this.#searches++;
    if (!this.#swings(timeS)) return;
    const found = searchPeriod(this.history, this.#shortestS, this.#longestS, this.#setup.pulsesPerCycle);
    if (found === null) return;
    const fromS = Math.max(found.fromS, this.#doneUntilS);
    this.#lock(found.periodS, fromS, found.explained);
    this.#rehearsing = true;
    this.#firstPulse = null;
    this.#follow(timeS);
    this.#rehearsing = false;
    if (this.#clock === null) return;
    this.#startOver(fromS, found.periodS);
    this.#follow(timeS);
  }

  #swings(timeS: number): boolean {
    const { history } = this;
    const fromRow = Math.max(history.firstRow, history.rowAtOrBefore(0, timeS - 1) + 1);
    const stride = Math.max(1, Math.floor((history.finalRows - fromRow) / 250));
    for (let channel = 0; channel < history.channels; channel++) {
      let lowest = Number.POSITIVE_INFINITY;
      let highest = Number.NEGATIVE_INFINITY;
      for (let row = fromRow; row < history.finalRows; row += stride) {
        const value = history.value(channel, row);
        if (value < lowest) lowest = value;
        if (value > highest) highest = value;
      }
      if (highest - lowest > RUNNING_SWING_KPA) return true;
    }
    return false;
  }

  /** Folds the found stretch into first templates and starts the clock at its beginning. */
  #lock(periodS: number, fromS: number, explained: readonly number[]): void {
    const { history } = this;
    const followers: Follower[] = [];
    for (let channel = 0; channel < history.channels; channel++) {
      const rough = this.#fold(channel, fromS, periodS);
      const fall = rough.depthKpa > 0 ? rough.steepestFall() : 0;
      const steers = explained[channel]! >= PROMOTE_ABOVE;
      followers.push({
        template: this.#fold(channel, fromS + fall * periodS, periodS),
        phase: fall,
        next: 0,
        startS: Number.NaN,
        startMeasured: false,
        startFit: null,
        startDepth: null,
        steers,
        explained: explained[channel]!,
        pulses: 0,
        shallow: 0,
        residualKpa: 0,
      });
    }
    if (!followers.some((follower) => follower.steers)) {
      const best = followers.reduce((a, b) => (b.explained > a.explained ? b : a));
      best.steers = true;
    }
    this.#alignToFirst(followers);
    for (const follower of followers) follower.next = this.#nextIndex;
    this.#followers = followers;
    this.#checkAfterCycles = FIRST_CHECK_CYCLES;
    this.#clock = new CrankClock(this.#nextIndex, fromS, periodS, FIRST_UNCERTAINTY * periodS);
    this.#failures = 0;
    this.#successes = 0;
    this.#cyclesSinceCheck = 0;
    this.state = 'tracking';
  }

  /** Back to the beginning of the found stretch, with all that the rehearsal taught. */
  #startOver(fromS: number, periodS: number): void {
    const first = this.#firstPulse ?? { phase: this.#nextIndex, timeS: fromS };
    this.#alignToFirst(this.#followers);
    for (const follower of this.#followers) {
      follower.next = this.#nextIndex;
      follower.startS = Number.NaN;
      follower.startFit = null;
      follower.startDepth = null;
      follower.shallow = 0;
    }
    this.#clock = new CrankClock(first.phase, first.timeS, periodS, FIRST_UNCERTAINTY * periodS);
    this.#failures = 0;
    this.#successes = 0;
    this.#cyclesSinceCheck = 0;
  }

  /** Cycle numbers pair cylinders that are nearest in time: phases within half a cycle of the first one's. */
  #alignToFirst(followers: Follower[]): void {
    const first = followers.find((follower) => follower.steers)!;
    for (const follower of followers) {
      while (follower.phase - first.phase > 0.5) follower.phase -= 1;
      while (follower.phase - first.phase <= -0.5) follower.phase += 1;
    }
    const earliest = Math.min(...followers.map((follower) => follower.phase));
    if (earliest < 0) for (const follower of followers) follower.phase += 1;
  }

  #fold(channel: number, originS: number, periodS: number): PulseTemplate {
    const template = new PulseTemplate();
    const { history } = this;
    const from = Math.max(history.firstRow, history.rowAtOrBefore(channel, originS - periodS) + 1);
    const delayS = history.delayOf(channel);
    for (let row = from; row < history.finalRows; row++) {
      const value = history.value(channel, row);
      if (value - value === 0) template.add((history.timeOfRow(row) + delayS - originS) / periodS, value);
    }
    template.settle();
    return template;
  }

  #follow(timeS: number): void {
    // A row can still be mended while it is the newest: look no further than the one before.
    const knownS = this.history.timeOfRow(this.history.finalRows - 1);
    while (this.#clock !== null) {
      const cylinder = this.#nextToPulse(true);
      const follower = this.#followers[cylinder]!;
      const phase = follower.next + follower.phase;
      const dueS = this.#clock.timeOfPhase(phase) + this.#lookAhead * this.#clock.periodS;
      if (knownS < dueS) {
        this.#dueS = dueS;
        return;
      }
      if (!this.#takePulse(cylinder, follower, phase, knownS)) {
        this.#dueS = knownS;
        return;
      }
    }
    this.#dueS = timeS + SEARCH_EVERY_S;
  }

  /** The cylinder whose pulse comes next among those that steer, or among those that do not; -1 when none. */
  #nextToPulse(steering: boolean, except = -1): number {
    let best = -1;
    let soonest = Number.POSITIVE_INFINITY;
    for (let cylinder = 0; cylinder < this.#followers.length; cylinder++) {
      const follower = this.#followers[cylinder]!;
      const phase = follower.next + follower.phase;
      if (follower.steers === steering && cylinder !== except && phase < soonest) {
        soonest = phase;
        best = cylinder;
      }
    }
    return best;
  }

  /** Cylinders that do not steer get their boundaries between the pulses of those that do. */
  #carryAlong(): void {
    const clock = this.#clock;
    if (clock === null) return;
    for (;;) {
      const cylinder = this.#nextToPulse(false);
      if (cylinder < 0) return;
      const follower = this.#followers[cylinder]!;
      const phase = follower.next + follower.phase;
      if (phase > clock.phase) return;
      this.#takeQuietPulse(cylinder, follower, this.#timeBetweenKnots(phase));
    }
  }

  /** Time of a phase at or before the newest steering pulse, on the straight line between the last two [s]. */
  #timeBetweenKnots(phase: number): number {
    const clock = this.#clock!;
    const stepPhase = clock.phase - this.#knotPhase;
    if (!(stepPhase > 1e-6)) return clock.timeOfPhase(phase);
    return clock.timeS + ((phase - clock.phase) * (clock.timeS - this.#knotS)) / stepPhase;
  }

  #takeQuietPulse(cylinder: number, follower: Follower, boundaryS: number): void {
    const periodS = this.#clock!.periodS;
    const fit = this.#fit(cylinder, follower, boundaryS, periodS);
    if (fit !== null) follower.explained += EXPLAINED_MEMORY * (fit.explained - follower.explained);
    if (follower.explained > PROMOTE_ABOVE && follower.template.depthKpa > PROMOTE_DEPTH_KPA) {
      this.#promote(cylinder, follower, boundaryS, periodS);
      return;
    }
    this.#endPulse(cylinder, follower, boundaryS, false, fit, periodS);
  }

  #fit(cylinder: number, follower: Follower, expectedS: number, periodS: number): PulseFit | null {
    const holeS = this.history.longestHoleS(cylinder, expectedS - 0.5 * periodS, expectedS + 0.5 * periodS);
    if (holeS > LONGEST_HOLE_TO_FIT * periodS) return null;
    return fitPulse(
      this.history,
      cylinder,
      follower.template,
      expectedS,
      periodS,
      follower.residualKpa,
      this.#setup.pulsesPerCycle[cylinder],
    );
  }

  #endPulse(
    cylinder: number,
    follower: Follower,
    boundaryS: number,
    measured: boolean,
    fit: PulseFit | null,
    periodS: number,
  ): void {
    this.#finishCycle(cylinder, follower, boundaryS, measured, fit);
    const depth = measureDepth(this.history, cylinder, follower.template, boundaryS, periodS);
    if (fit !== null) this.#learn(cylinder, follower, fit, depth, boundaryS, periodS);
    follower.startDepth = depth;
    follower.startS = boundaryS;
    follower.startMeasured = measured;
    follower.startFit = fit;
    follower.next++;
    follower.pulses++;
    if (!this.#rehearsing) this.#nextIndex = Math.max(this.#nextIndex, follower.next);
  }

  /**
   * A weak or strange pulse can be fitted almost anywhere. One that lies far from its forecast is believed only if it
   * is strong and the next pulse, of another cylinder, lies off to the same side: then it is the speed that changed.
   *
   * @returns 'wait' when the samples of that next pulse are not there yet
   */
  #judge(cylinder: number, fit: PulseFit, periodS: number, knownS: number): 'believed' | 'refused' | 'wait' {
    if (fit.gain < LEAST_GAIN || fit.explained < LEAST_EXPLAINED) return 'refused';
    const side = this.#farSide(fit, periodS);
    if (side === 0 || this.#rehearsing || this.#successes === 0) return 'believed';
    if (fit.gain < FAR_GAIN || fit.explained < FAR_EXPLAINED) return 'refused';
    const other = this.#nextToPulse(true, cylinder);
    if (other < 0) return 'believed';
    const follower = this.#followers[other]!;
    const expectedS = this.#clock!.timeOfPhase(follower.next + follower.phase);
    if (knownS < expectedS + this.#lookAhead * periodS) return 'wait';
    const second = this.#fit(other, follower, expectedS, periodS);
    const seconded =
      second !== null &&
      second.gain >= FAR_GAIN &&
      second.explained >= FAR_EXPLAINED &&
      this.#farSide(second, periodS) === side;
    return seconded ? 'believed' : 'refused';
  }

  /** -1 or 1 when a pulse is far too early or too late for its forecast, else 0. */
  #farSide(fit: PulseFit, periodS: number): number {
    const far = Math.max(FAR_CYCLES, (FAR_SIGMAS * this.#clock!.forecastSd) / periodS);
    if (Math.abs(fit.shift) <= far && fit.speedRatio === 1) return 0;
    return Math.sign(fit.shift) || Math.sign(1 - fit.speedRatio);
  }

  /** @returns false when it must wait for more samples */
  #takePulse(cylinder: number, follower: Follower, phase: number, knownS: number): boolean {
    const clock = this.#clock!;
    if (phase !== clock.phase) {
      this.#knotPhase = clock.phase;
      this.#knotS = clock.timeS;
      clock.advanceTo(phase);
    }
    const expectedS = clock.timeS;
    const periodS = clock.periodS;
    const fit = this.#fit(cylinder, follower, expectedS, periodS);
    const verdict = fit === null ? 'refused' : this.#judge(cylinder, fit, periodS, knownS);
    if (verdict === 'wait') return false;
    const good = fit !== null && verdict === 'believed';
    if (fit !== null) {
      const weight = good ? EXPLAINED_MEMORY : EXPLAINED_MEMORY * 0.5;
      follower.explained += weight * (fit.explained - follower.explained);
    }
    let boundaryS = expectedS;
    if (good) {
      const variance = (fit.shiftVariance + LEAST_TIMING_SD * LEAST_TIMING_SD) * periodS * periodS;
      if (fit.speedRatio !== 1) clock.changeSpeed(fit.speedRatio);
      const errorS = clock.correct(expectedS + fit.shift * periodS, variance);
      boundaryS = clock.timeS;
      this.#firstPulse ??= { phase, timeS: boundaryS };
      this.#failures = 0;
      const rate = Math.max(LEAST_PHASE_RATE, 1 / (follower.pulses + 2));
      follower.phase += rate * Math.max(-0.02, Math.min(0.02, errorS / periodS));
      this.#successes++;
    } else if (fit !== null) this.#failures++;
    this.#endPulse(cylinder, follower, boundaryS, good, fit, periodS);
    if (follower.explained < DEMOTE_BELOW) this.#demote(follower);
    this.#carryAlong();
    this.#checkLock(cylinder);
    return true;
  }

  #learn(
    cylinder: number,
    follower: Follower,
    fit: PulseFit,
    depth: PulseDepth | null,
    boundaryS: number,
    periodS: number,
  ): void {
    const shallow = follower.steers && (depth?.gain ?? 0) < FOLD_FROM_GAIN;
    follower.shallow = shallow ? follower.shallow + 1 : 0;
    if (shallow && follower.shallow < ACCEPT_AFTER) return;
    const { history } = this;
    const from = Math.max(history.firstRow, history.rowAtOrBefore(cylinder, boundaryS - 0.5 * periodS) + 1);
    const to = Math.min(history.finalRows - 1, history.rowAtOrBefore(cylinder, boundaryS + 0.5 * periodS));
    const { values, times, mask } = history.column(cylinder);
    const origin = boundaryS - history.delayOf(cylinder);
    for (let row = from; row <= to; row++) {
      const value = values[row & mask]!;
      if (value - value === 0) follower.template.add((times[row & mask]! - origin) / periodS, value);
    }
    follower.template.endCycle(to - from + 1);
    follower.residualKpa += (follower.pulses === 0 ? 1 : 0.1) * (fit.residualKpa - follower.residualKpa);
  }

  #finishCycle(
    cylinder: number,
    follower: Follower,
    endS: number,
    endMeasured: boolean,
    endFit: PulseFit | null,
  ): void {
    const startS = follower.startS;
    // Without samples at either end the boundary is a guess, and so would be the cycle.
    if (this.#rehearsing || !(endS > startS) || follower.startFit === null || endFit === null) return;
    const lengthS = endS - startS;
    // No engine changes its speed so much within a cycle: a boundary was taken from something else than a pulse.
    if (Math.abs(lengthS - this.#clock!.periodS) > LARGEST_CHANGE * this.#clock!.periodS) return;
    const { history } = this;
    const holeS = history.longestHoleS(cylinder, startS, endS);
    const whole = holeS <= Math.max(LONGEST_HOLE * lengthS, 1.6 * history.usualIntervalS);
    const fit = follower.startFit;
    const depth = follower.startDepth;
    const fitted = depth !== null && follower.steers;
    const { template } = follower;
    const mean = !whole
      ? Number.NaN
      : lengthS < SPARSE_SAMPLES * history.usualIntervalS && fitted
        ? sparseMean(history, cylinder, template, startS, endS)
        : history.meanBetween(cylinder, startS, endS);
    const depthKpa = fitted && whole ? Math.max(0, depth.gain) * template.depthKpa : null;
    const highestKpa = fitted && whole ? depth.offsetKpa : null;
    this.#onCycle({
      cylinder,
      index: follower.next - 1,
      startS,
      endS,
      meanKpa: Number.isFinite(mean) ? mean : null,
      lowestKpa: highestKpa !== null && depthKpa !== null ? highestKpa - depthKpa : null,
      highestKpa,
      depthKpa,
      measured: follower.startMeasured && endMeasured,
      troughS: startS + template.lowestPhase * lengthS,
      strength: fitted ? depth.gain : null,
      samples: fit?.points ?? 0,
      explained: Math.min(fit?.explained ?? 0, endFit?.explained ?? 0),
    });
    this.#doneUntilS = Math.max(this.#doneUntilS, startS);
  }

  #demote(follower: Follower): void {
    if (this.#followers.filter((other) => other.steers).length > 1) follower.steers = false;
  }

  /** A hose was put back, or a cylinder woke up: find its fall anew and let it steer. */
  #promote(cylinder: number, follower: Follower, boundaryS: number, periodS: number): void {
    const fall = follower.template.steepestFall();
    const moved = fall > 0.5 ? fall - 1 : fall;
    follower.steers = true;
    follower.phase += moved;
    const fresh = this.#fold(cylinder, boundaryS + moved * periodS, periodS);
    Object.assign(follower, { template: fresh, pulses: 0, startS: Number.NaN });
  }

  #checkLock(cylinder: number): void {
    const clock = this.#clock!;
    const steering = this.#followers.filter((follower) => follower.steers).length;
    const patience = this.#successes < YOUNG_PULSES * steering ? YOUNG_FAILURES : FAILURES_TO_LOSE;
    if (this.#failures >= patience * steering || !this.#plausible(clock.periodS)) {
      this.#lose();
      return;
    }
    if (!this.#followers[cylinder]!.steers) return;
    if (++this.#cyclesSinceCheck < this.#checkAfterCycles * steering) return;
    this.#checkAfterCycles = CHECK_EVERY_CYCLES;
    this.#cyclesSinceCheck = 0;
    const holds = periodStillHolds(this.history, clock.periodS, this.#setup.pulsesPerCycle, this.#shortestS);
    if (!holds) this.#lose();
  }

  #plausible(periodS: number): boolean {
    return periodS > 0.8 * this.#shortestS && periodS < 1.25 * this.#longestS;
  }

  #lose(): void {
    if (this.#clock !== null) this.losses++;
    this.#clock = null;
    this.#followers = [];
    this.#dueS = Number.NEGATIVE_INFINITY;
    this.#searches = 0;
    this.state = 'searching';
  }
}
