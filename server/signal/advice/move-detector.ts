/**
 * Cuts the readings into moves: steady, then moving, then steady again. All turns made before it is steady again are
 * one move, and so are those with only a moment of steadiness between them.
 */
import type { Matrix } from '../../../calibration/solve-linear.ts';
import { STEADY_AFTER_CYCLES } from '../level-tracker.ts';
import type { Settling } from '../reading.ts';
import { CycleSpread } from './cycle-spread.ts';
import type { Balance } from './gap-space.ts';
import { addMatrices } from './gaussian.ts';
import { type ExpectedChange, SteadyStretch } from './steady-stretch.ts';

export interface Move {
  readonly before: Balance;
  readonly after: Balance;
  /** Change of the balance [kPa]. */
  readonly change: readonly number[];
  /** Its covariance [kPa²]. */
  readonly covariance: Matrix;
  /** Natural logarithm of idle speed after over before; null when one is not known. */
  readonly logSpeedRatio: number | null;
}

/** A pause shorter than this does not end a move [s]. */
export const PAUSE_S = 1;
/** A stretch that has just been found may be a passing thing, although its beginning was longer ago [s]. */
const LEAST_SINCE_FOUND_S = 0.5;
/** The speed is given so long to stand still, so that gaps that follow it are not taken for a turned screw [s]. */
const WAIT_FOR_SPEED_S = 5;
/** The last moments before a change was noticed may belong to it already [s]. */
const NOTICED_LATE_S = 1.5;

export class MoveDetector {
  /** Steady stretches that have counted so far. */
  stretches = 0;
  readonly #spread = new CycleSpread();
  #before: Balance | null = null;
  #stretch: SteadyStretch | null = null;
  #counts = false;
  /** When the present stretch was found. */
  #foundS = 0;
  #lastTimeS = Number.NEGATIVE_INFINITY;

  /**
   * @param timeS of the reading; a time before the last one means a new recording, of which nothing is known yet
   * @param balance what it shows, or null when a cylinder's gap is not known
   * @param expected a change that the person has been asked to make, or null
   */
  push(timeS: number, balance: Balance | null, settling: Settling, expected: ExpectedChange | null): void {
    if (timeS < this.#lastTimeS) this.forget();
    this.#lastTimeS = timeS;
    if (balance === null || settling !== 'steady') {
      this.#end(null);
      return;
    }
    if (this.#stretch !== null && !this.#stretch.continuesWith(balance)) this.#end(null);
    if (this.#stretch === null) {
      this.#stretch = new SteadyStretch(balance, this.#spread);
      this.#foundS = timeS;
    } else this.#stretch.push(balance);
    const next = this.#stretch.split(expected);
    if (next !== null) {
      this.#end(next);
      this.#foundS = timeS;
    }
    if (!this.#counts && this.#isReady(timeS, this.#stretch)) {
      this.#counts = true;
      this.stretches++;
    }
  }

  /** Forgets where the set stood: what comes next is no move. */
  forget(): void {
    this.#before = null;
    this.#stretch = null;
    this.#counts = false;
    this.#lastTimeS = Number.NEGATIVE_INFINITY;
  }

  /** Where the set stands while it is steady, better known with every reading; null while it is not. */
  get settled(): Balance | null {
    return this.#counts ? this.#stretch!.balance : null;
  }

  /** Whether the reading's own means still have something from before in them. */
  get aheadOfReading(): boolean {
    return this.#stretch?.isCut ?? false;
  }

  /** The change from the steady stretch before to the present one; null while it is not steady or the first. */
  get move(): Move | null {
    const after = this.settled;
    const before = this.#before;
    if (after === null || before === null) return null;
    return {
      before,
      after,
      change: after.z.map((value, at) => value - before.z[at]!),
      covariance: addMatrices(before.covariance, after.covariance),
      logSpeedRatio:
        before.speed.steadyRpm === null || after.speed.steadyRpm === null
          ? null
          : Math.log(after.speed.steadyRpm / before.speed.steadyRpm),
    };
  }

  #isReady(timeS: number, stretch: SteadyStretch): boolean {
    const { cycles, speed } = stretch.balance;
    if (timeS - stretch.startS < PAUSE_S || cycles < STEADY_AFTER_CYCLES) return false;
    const foundS = timeS - this.#foundS;
    if (foundS < LEAST_SINCE_FOUND_S) return false;
    return speed.steadyRpm !== null || foundS > WAIT_FOR_SPEED_S;
  }

  #end(next: SteadyStretch | null): void {
    const ended = this.#stretch;
    // A stretch that was cut ends at the cut, any other where the change was noticed.
    if (this.#counts)
      this.#before = next === null ? ended!.until(this.#lastTimeS - NOTICED_LATE_S) : ended!.balance;
    this.#stretch = next;
    this.#counts = false;
  }
}
