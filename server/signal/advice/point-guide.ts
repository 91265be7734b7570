/**
 * Guidance at one balance point: follows the moves, learns the screws from them and says what comes next. What the
 * present steady stretch shows is provisional and worked out anew with every reading, as it gets better known; it is
 * taken for good when the stretch ends.
 */
import type { Matrix } from '../../../calibration/solve-linear.ts';
import { balanceVerdict } from '../balance-verdict.ts';
import type { Reading, Verdict } from '../reading.ts';
import { type Balance, gapsOf, worstGapKpa } from './gap-space.ts';
import { norm } from './gaussian.ts';
import type { LinkageScrew } from './linkage.ts';
import { type Asked, type Attribution, attributeMove } from './move-attribution.ts';
import { type Move, MoveDetector } from './move-detector.ts';
import { spokenFraction, type TurnOutcome } from './move-words.ts';
import { type NextMove, planNextMove } from './next-move.ts';
import {
  type ExpectedTurn,
  handTurns,
  learnedEffect,
  predictedChanges,
  priorEffect,
  type ScrewEffect,
  withoutUnit,
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

/** A gap that may lie on either side of the edge is waited for through so many cycles. */
const WAIT_CYCLES = 60;
/** And longer when so many more would bring it inside. */
const WAIT_AHEAD_CYCLES = 120;
/** 'Equal' is said when so many expanded uncertainties fit inside, or after so many cycles. */
const EQUAL_MARGIN = 1.5;
const EQUAL_CYCLES = 40;
/** 'Equal' is not taken back for a shorter doubt [s]. */
const EQUAL_HOLDS_S = 2;
/** What is said stays for so long, unless something moves [s]. */
const HELD_S = 1.5;
/** Nobody has read a sentence and begun to turn sooner [s]. */
const READING_S = 0.4;
/** A screw that has perhaps been turned has lost its unit. */
const PERHAPS_TURNED = 0.05;
/** Less than this part of what was asked is hardly that turn. */
const LEAST_OF_ASKED = 0.35;
/** A change of the gap within so many standard deviations, or within this part of the tolerance, is none. */
const OUTCOME_SIGMAS = 2;
const OUTCOME_PART = 0.2;

export class PointGuide {
  readonly #axes: Matrix;
  readonly #detector = new MoveDetector();
  /** As known before the present stretch. */
  #effects: readonly ScrewEffect[];
  /** With what the present stretch shows. */
  #learned: readonly ScrewEffect[];
  #seen: SeenMove | null = null;
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
    return this.#seen;
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
    return this.#seen?.attribution.cause.kind === 'screw'
      ? this.#seen.attribution.cause.screw
      : this.#lastTurned;
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
    this.#state = this.#nextState(timeS, settled, this.#verdict(reading, settled, terms), terms);
    if (this.#state.kind !== before && this.#state.kind !== 'waiting') this.#heldUntilS = timeS + HELD_S;
    if (this.#state.kind === 'move') {
      if (this.#advised === null) this.#advisedS = timeS;
      this.#advised = this.#state.move;
    } else if (this.#state.kind === 'equal') this.#advised = null;
  }

  /** Forgets where the set stood, but not what the screws do. */
  forgetBalance(): void {
    this.#detector.forget();
    this.#state = { kind: 'waiting' };
  }

  /** As the reading has it, unless it is behind: then 'equal' takes both to agree. */
  #verdict(reading: Reading, settled: Balance, terms: GuideTerms): Verdict {
    const { toleranceKpa, reference, calibrationKpa } = terms;
    const shown = overallVerdict(
      reading.cylinders.map(({ gapKpa, gapExpandedKpa }) => ({ gapKpa, expandedKpa: gapExpandedKpa })),
      toleranceKpa,
    );
    if (!this.#detector.aheadOfReading) return shown;
    const own = overallVerdict(gapsOf(this.#axes, settled, reference, calibrationKpa), toleranceKpa);
    return own === 'inside' && shown === 'outside' ? 'not-sure' : own;
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
    const attribution = attributeMove(move, this.#effects, this.#asked);
    const { cause, screws } = attribution;
    this.#learned = this.#effects.map((effect, screw) => {
      if (cause.kind === 'screw' && cause.screw === screw) {
        const learned = learnedEffect(effect, cause.turn, move.change, move.covariance);
        return this.#farLessThanAsked(effect, screw, move.change) ? withoutUnit(learned) : learned;
      }
      const perhaps = cause.kind === 'cannot-tell' && screws[screw]! > PERHAPS_TURNED;
      return perhaps ? withoutUnit(effect) : effect;
    });
    this.#seen = {
      attribution,
      outcome: this.#outcome(move, reference),
      fromRpm: move.before.speed.steadyRpm,
    };
  }

  /**
   * Someone who was asked for a good turn and has made much less of one has perhaps made none, and what was seen is
   * something else. A unit that is too small would be asked for many times over: rather find out again.
   */
  #farLessThanAsked(effect: ScrewEffect, screw: number, change: readonly number[]): boolean {
    const { turn } = this.#asked;
    if (this.#asked.screw !== screw || turn === null || effect.unit === null) return false;
    return norm(change) < LEAST_OF_ASKED * Math.abs(turn.fraction) * norm(effect.unit.mean);
  }

  #outcome(move: Move, reference: number | 'mean'): TurnOutcome {
    const before = worstGapKpa(this.#axes, move.before.z, reference);
    const after = worstGapKpa(this.#axes, move.after.z, reference);
    const sd = Math.sqrt(Math.max(...move.covariance.map((row, at) => row[at]!)));
    if (Math.abs(after - before) < Math.max(OUTCOME_SIGMAS * sd, OUTCOME_PART * before)) return 'no-change';
    return after < before ? 'closer' : 'further';
  }

  #nextState(timeS: number, settled: Balance, verdict: Verdict, terms: GuideTerms): GuideState {
    if (this.#isEqual(timeS, settled, verdict, terms)) return { kind: 'equal' };
    if (verdict === 'inside') return { kind: 'waiting' };
    if (verdict === 'not-sure' && this.#maySettleItself(settled, terms)) return { kind: 'waiting' };
    const planned = planNextMove({
      axes: this.#axes,
      z: settled.z,
      covariance: settled.covariance,
      ...terms,
      effects: this.#learned,
      kept: this.#advised?.screw ?? null,
    });
    return planned === null ? { kind: 'waiting' } : { kind: 'move', move: this.#spoken(planned) };
  }

  /** Whether waiting for some more cycles is likely to bring all inside without a turn. */
  #maySettleItself(settled: Balance, { reference, toleranceKpa, calibrationKpa }: GuideTerms): boolean {
    if (settled.cycles < WAIT_CYCLES) return true;
    const shrunk = Math.sqrt(settled.cycles / (settled.cycles + WAIT_AHEAD_CYCLES));
    return gapsOf(this.#axes, settled, reference, calibrationKpa).every(
      ({ gapKpa, expandedKpa }) => Math.abs(gapKpa) + shrunk * expandedKpa <= toleranceKpa,
    );
  }

  /** The first look at which all are inside may be a lucky one: it takes a margin, or some more cycles. */
  #isEqual(timeS: number, settled: Balance, verdict: Verdict, terms: GuideTerms): boolean {
    if (verdict !== 'inside') return verdict === 'not-sure' && timeS < this.#equalUntilS;
    const { reference, toleranceKpa, calibrationKpa } = terms;
    const saidBefore = this.#equalUntilS > Number.NEGATIVE_INFINITY;
    const sure = gapsOf(this.#axes, settled, reference, calibrationKpa).every(
      ({ gapKpa, expandedKpa }) => Math.abs(gapKpa) + EQUAL_MARGIN * expandedKpa <= toleranceKpa,
    );
    if (!saidBefore && !sure && settled.cycles < EQUAL_CYCLES) return false;
    this.#equalUntilS = timeS + EQUAL_HOLDS_S;
    return true;
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

function overallVerdict(
  gaps: readonly { readonly gapKpa: number | null; readonly expandedKpa: number | null }[],
  toleranceKpa: number,
): Verdict {
  const verdicts = gaps.map(({ gapKpa, expandedKpa }) => balanceVerdict(gapKpa, expandedKpa, toleranceKpa));
  if (verdicts.includes('outside')) return 'outside';
  return verdicts.every((verdict) => verdict === 'inside') ? 'inside' : 'not-sure';
}
