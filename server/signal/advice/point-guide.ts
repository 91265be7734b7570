/**
 * Guidance at one balance point: follows the moves, learns the screws from them and says what comes next. What the
 * present steady stretch shows is provisional and worked out anew with every reading, as it gets better known; it is
 * taken for good when the stretch ends.
 */
import type { Matrix } from '../../../calibration/solve-linear.ts';
import type { Reading } from '../reading.ts';
import { isSurelyInside, maySettleItself, overallVerdict, readingGaps } from './equal-enough.ts';
import { type Balance, gapsOf, worstGapKpa } from './gap-space.ts';
import { learnFromMove } from './learn-from-move.ts';
import type { LinkageScrew } from './linkage.ts';
import type { Asked, Attribution } from './move-attribution.ts';
import { type Move, MoveDetector } from './move-detector.ts';
import { spokenFraction, type TurnOutcome } from './move-words.ts';
import { type NextMove, planNextMove } from './next-move.ts';
import {
  type ExpectedTurn,
  handTurns,
  predictedChanges,
  priorEffect,
  type ScrewEffect,
} from './screw-effects.ts';
import type { ExpectedChange } from './steady-stretch.ts';

export interface GuideTerms {
  readonly reference: number | 'mean';
  readonly toleranceKpa: number;
  /** Standard uncertainty of each gap from the calibrations [kPa]. */
  readonly calibrationKpa: readonly number[];
}

export interface SeenMove {
  readonly attribution: Attribution;
  readonly outcome: TurnOutcome;
  /** Idle speed before it [r/min]. */
  readonly fromRpm: number | null;
}

export type GuideState =
  /** Not steady, or not yet known well enough. */
  | { readonly kind: 'waiting' }
  | { readonly kind: 'equal' }
  | { readonly kind: 'move'; readonly move: NextMove };

/** 'Equal' is not taken back for a shorter doubt [s]. */
const EQUAL_HOLDS_S = 2;
/** What is said stays for so long, unless something moves [s]. */
const HELD_S = 1.5;
/** Nobody has read a sentence and begun to turn sooner [s]. */
const READING_S = 0.4;
/** A change of the gap within so many standard deviations, or this part of what it was, is none. */
const OUTCOME_SIGMAS = 2;
const OUTCOME_PART = 0.2;

export class PointGuide {
  readonly #axes: Matrix;
  readonly #detector = new MoveDetector();
  /** As known before the present stretch. */
  #effects: readonly ScrewEffect[];
  /** With what the present stretch shows. */
  #learned: readonly ScrewEffect[];
  /** What the present stretch shows, and what was seen before it. */
  #seen: SeenMove | null = null;
  #seenBefore: SeenMove | null = null;
  #lastTurned: number | null = null;
  #stretch = 0;
  #asked: Asked = { screw: null, turn: null, idleSpeed: false };
  #advised: NextMove | null = null;
  #advisedS = 0;
  #idleAsked = false;
  #equalUntilS = Number.NEGATIVE_INFINITY;
  #heldUntilS = Number.NEGATIVE_INFINITY;
  #state: GuideState = { kind: 'waiting' };

  /** @param screws of this point, in the order in which moves name them */
  constructor(screws: readonly LinkageScrew[], axes: Matrix) {
    this.#axes = axes;
    this.#effects = screws.map((screw) => priorEffect(screw, axes));
    this.#learned = this.#effects;
  }

  get state(): GuideState {
    return this.#state;
  }

  get effects(): readonly ScrewEffect[] {
    return this.#learned;
  }

  /** The move that led to where the set stands now, or null. */
  get seen(): SeenMove | null {
    return this.#seen === null || this.#seen.attribution.cause.kind === 'nothing'
      ? this.#seenBefore
      : this.#seen;
  }

  /** Number of steady stretches seen so far: a new one means that something has moved. */
  get stretches(): number {
    return this.#detector.stretches;
  }

  get settled(): Balance | null {
    return this.#detector.settled;
  }

  /** Index of the screw that was turned last, or null. */
  get lastTurned(): number | null {
    const cause = this.seen?.attribution.cause;
    return cause?.kind === 'screw' ? cause.screw : this.#lastTurned;
  }

  /**
   * @param balance null while the engine is not at this point or a gap is not known
   * @param idleAsked the person is being reminded to set the idle speed
   */
  push(
    timeS: number,
    reading: Reading,
    balance: Balance | null,
    terms: GuideTerms,
    idleAsked: boolean,
  ): void {
    this.#detector.push(timeS, balance, reading.settling, this.#expected());
    const settled = this.#detector.settled;
    if (settled === null) {
      this.#state = { kind: 'waiting' };
      return;
    }
    if (this.#detector.stretches !== this.#stretch) this.#startStretch();
    this.#idleAsked ||= idleAsked;
    const { move } = this.#detector;
    if (move !== null) this.#learn(move, terms.reference);
    if (timeS < this.#heldUntilS) return;
    const before = this.#state.kind;
    this.#state = this.#nextState(timeS, reading, settled, terms);
    if (this.#state.kind !== before && this.#state.kind !== 'waiting') this.#heldUntilS = timeS + HELD_S;
    if (this.#state.kind === 'move') {
      if (this.#advised === null) this.#advisedS = timeS;
      this.#advised = this.#state.move;
    } else if (this.#state.kind === 'equal') this.#advised = null;
  }

  /** Forgets where the set stood, but not what the screws do. */
  forgetBalance(): void {
    this.#detector.forget();
    this.#lastTurned = this.lastTurned;
    this.#seen = null;
    this.#seenBefore = null;
    this.#state = { kind: 'waiting' };
  }

  /** What a turn as advised would do. */
  #expected(): ExpectedChange | null {
    if (this.#advised === null) return null;
    const changes = predictedChanges(this.#learned[this.#advised.screw]!, this.#askedTurn());
    return { fromS: this.#advisedS + READING_S, changes };
  }

  #askedTurn(): ExpectedTurn | null {
    const { direction, fraction } = this.#advised ?? { fraction: null };
    return fraction === null ? null : handTurns(direction === 'back' ? -fraction : fraction);
  }

  #startStretch(): void {
    this.#stretch = this.#detector.stretches;
    this.#lastTurned = this.lastTurned;
    this.#seenBefore = this.seen;
    this.#effects = this.#learned;
    this.#asked = {
      screw: this.#advised?.screw ?? null,
      turn: this.#askedTurn(),
      idleSpeed: this.#idleAsked,
    };
    this.#seen = null;
    this.#advised = null;
    this.#idleAsked = false;
    this.#equalUntilS = Number.NEGATIVE_INFINITY;
    this.#heldUntilS = Number.NEGATIVE_INFINITY;
  }

  #learn(move: Move, reference: number | 'mean'): void {
    const { attribution, effects } = learnFromMove(move, this.#effects, this.#asked);
    this.#learned = effects;
    this.#seen = {
      attribution,
      outcome: this.#outcome(move, reference),
      fromRpm: move.before.speed.steadyRpm,
    };
  }

  #outcome(move: Move, reference: number | 'mean'): TurnOutcome {
    const before = worstGapKpa(this.#axes, move.before.z, reference);
    const after = worstGapKpa(this.#axes, move.after.z, reference);
    const sd = Math.sqrt(Math.max(...move.covariance.map((row, at) => row[at]!)));
    if (Math.abs(after - before) < Math.max(OUTCOME_SIGMAS * sd, OUTCOME_PART * before)) return 'no-change';
    return after < before ? 'closer' : 'further';
  }

  #nextState(timeS: number, reading: Reading, settled: Balance, terms: GuideTerms): GuideState {
    const { reference, toleranceKpa, calibrationKpa } = terms;
    const shown = readingGaps(reading);
    const { aheadOfReading } = this.#detector;
    const gaps = aheadOfReading ? gapsOf(this.#axes, settled, reference, calibrationKpa) : shown;
    const found = overallVerdict(gaps, toleranceKpa);
    // Where the reading is behind, 'equal' takes both to agree.
    const contested = found === 'inside' && overallVerdict(shown, toleranceKpa) === 'outside';
    const verdict = contested ? 'not-sure' : found;
    if (verdict === 'inside') {
      const saidBefore = this.#equalUntilS > Number.NEGATIVE_INFINITY;
      if (!saidBefore && !isSurelyInside(gaps, settled.cycles, toleranceKpa)) return { kind: 'waiting' };
      this.#equalUntilS = timeS + EQUAL_HOLDS_S;
      return { kind: 'equal' };
    }
    if (verdict === 'not-sure') {
      if (timeS < this.#equalUntilS) return { kind: 'equal' };
      if (maySettleItself(gaps, settled.cycles, toleranceKpa)) return { kind: 'waiting' };
    }
    const planned = planNextMove({
      axes: this.#axes,
      z: settled.z,
      covariance: settled.covariance,
      reference,
      toleranceKpa,
      effects: this.#learned,
      kept: this.#advised?.screw ?? null,
    });
    return planned === null ? { kind: 'waiting' } : { kind: 'move', move: this.#spoken(planned) };
  }

  /** With the fraction as it is said, so that what was asked is what was heard. */
  #spoken(planned: NextMove): NextMove {
    const { screw, direction, fraction } = planned;
    if (fraction === null) return planned;
    const said =
      this.#advised?.screw === screw && this.#advised.direction === direction ? this.#advised.fraction : null;
    return { ...planned, fraction: spokenFraction(fraction, said) };
  }
}
