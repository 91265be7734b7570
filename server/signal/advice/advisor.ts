/**
 * What to turn next, from the stream of readings:
 *
 *   readings -> balance point -> moves -> effects of the screws -> next move -> one sentence
 *
 * Pure: it knows no clock but the readings' own.
 */
import type { Reading } from '../reading.ts';
import type { Advice, LastMove } from './advice.ts';
import { balanceOf, helmertAxes } from './gap-space.ts';
import { IdleSpeedCheck, SpeedWatch } from './idle-speed-check.ts';
import type { BalancePointId, Linkage } from './linkage.ts';
import { EQUAL_SENTENCE, moveSentence } from './move-words.ts';
import { type GuideTerms, PointGuide } from './point-guide.ts';
import {
  type BalancePoint,
  balancePoints,
  GO_IDLE_SENTENCE,
  GO_RAISED_SENTENCE,
  pointAt,
  TwoPoints,
} from './two-points.ts';

/** May change at any time. */
export interface AdvisorTerms {
  /** Index of the reference cylinder of the readings, or 'mean' of all. */
  readonly reference: number | 'mean';
  readonly toleranceKpa: number;
  /** At a raised speed [kPa], or null for the same. */
  readonly raisedToleranceKpa?: number | null;
  /** Raised speed to be held [r/min], or null for any well above idle. */
  readonly raisedTargetRpm?: number | null;
  readonly idleTargetRpm?: number | null;
  /** Half-width of the band of the idle speed [r/min]. */
  readonly idleBandRpm?: number | null;
}

export interface AdvisorOptions extends AdvisorTerms {
  /** Standard uncertainty of each gap from the calibrations, as given to the instrument [kPa]; it cancels in a change. */
  readonly differenceUncertaintyKpa?: readonly number[];
}

export class Advisor {
  readonly linkage: Linkage;
  readonly #options: AdvisorOptions;
  readonly #axes: readonly (readonly number[])[];
  readonly #guides = new Map<BalancePointId, PointGuide>();
  readonly #idleCheck = new IdleSpeedCheck();
  readonly #twoPoints: TwoPoints;
  #terms: AdvisorTerms;
  #points: readonly BalancePoint[];
  #speed = new SpeedWatch();
  #present: BalancePoint | null = null;
  /** Newest stretch of each guide whose move has been followed up. */
  readonly #followed = new Map<PointGuide, number>();
  #hosesSwapped = false;

  constructor(linkage: Linkage, options: AdvisorOptions) {
    this.linkage = linkage;
    this.#options = options;
    this.#terms = options;
    this.#axes = helmertAxes(linkage.cylinders);
    this.#points = this.#pointsFor(options);
    this.#twoPoints = new TwoPoints(this.#points);
    for (const { id, screws } of this.#points) {
      const own = screws.map((screw) => linkage.screws[screw]!);
      this.#guides.set(id, new PointGuide(own, this.#axes));
    }
  }

  /** Other terms from now on. What the screws do stays known. */
  setTerms(terms: AdvisorTerms): void {
    this.#terms = terms;
    this.#points = this.#pointsFor(terms);
  }

  /** Takes a reading, 5 to 30 of them a second. */
  push(reading: Reading): void {
    const { timeS } = reading;
    if (timeS === null || this.linkage.screws.length === 0) return;
    this.#speed.push(timeS, reading.engine.speedRpm);
    this.#hosesSwapped = reading.swappedHoses !== null;
    const rpm = this.#speed.rpm;
    this.#present = pointAt(this.#points, rpm, this.#present?.id ?? null);
    const { reference } = this.#terms;
    const calibrationKpa = this.#options.differenceUncertaintyKpa ?? [];
    const balance = this.#hosesSwapped
      ? null
      : balanceOf(reading, this.#axes, reference, calibrationKpa, {
          rpm,
          steadyRpm: this.#speed.steadyRpm,
        });
    for (const { id, toleranceKpa } of this.#points) {
      const here = id === this.#present?.id;
      const terms: GuideTerms = { reference, toleranceKpa, calibrationKpa };
      const reminded = this.#idleCheck.view.sentence !== null;
      this.#guides.get(id)!.push(timeS, reading, here ? balance : null, terms, reminded);
    }
    this.#followPoints();
  }

  /** The samples had a gap of unknown length, or the readings start anew. */
  forgetBalance(): void {
    for (const guide of this.#guides.values()) guide.forgetBalance();
    this.#speed = new SpeedWatch();
    this.#present = null;
  }

  advice(): Advice {
    const guide = this.#presentGuide();
    const base = { point: this.#present?.id ?? null, idle: this.#idleCheck.view, lastMove: this.#lastMove() };
    const nothing: Advice = { ...base, state: 'waiting', sentence: null, move: null };
    if (guide === null || this.#hosesSwapped) return nothing;
    const { state } = guide;
    if (state.kind === 'waiting') return nothing;
    if (state.kind === 'equal') {
      const next = this.#twoPoints.next(this.#present!.id);
      if (next === null) return { ...base, state: 'equal', sentence: EQUAL_SENTENCE, move: null };
      const sentence = next === 'raised' ? GO_RAISED_SENTENCE : GO_IDLE_SENTENCE;
      return { ...base, state: 'other-point', sentence, move: null };
    }
    const screw = this.#present!.screws[state.move.screw]!;
    const screwName = this.linkage.screws[screw]!.name;
    const { direction, fraction } = state.move;
    const turned = guide.seen?.attribution.cause.kind === 'screw';
    return {
      ...base,
      state: direction === 'either' ? 'find-out' : 'move',
      sentence: moveSentence({
        screwName,
        direction,
        fraction,
        turnedLast: guide.lastTurned === state.move.screw,
        outcome: turned ? guide.seen!.outcome : null,
      }),
      move: { ...state.move, screw, screwName },
    };
  }

  /** Where the set is balanced, and whether it was found equal there since the last turn that matters. */
  get points(): readonly (BalancePoint & { readonly equal: boolean })[] {
    return this.#points.map((point) => ({ ...point, equal: this.#twoPoints.isEqual(point.id) }));
  }

  #presentGuide(): PointGuide | null {
    return this.#present === null ? null : this.#guides.get(this.#present.id)!;
  }

  #lastMove(): LastMove | null {
    const seen = this.#presentGuide()?.seen ?? null;
    if (seen === null) return null;
    const { cause, probability } = seen.attribution;
    const screw = cause.kind === 'screw' ? this.#present!.screws[cause.screw]! : null;
    return { cause: cause.kind, screw, outcome: seen.outcome, probability };
  }

  #followPoints(): void {
    const guide = this.#presentGuide();
    if (guide === null || guide.settled === null) return;
    const { id } = this.#present!;
    const { seen } = guide;
    const turned =
      seen?.attribution.cause.kind === 'screw' && this.#followed.get(guide) !== guide.stretches ? seen : null;
    if (turned !== null) {
      this.#followed.set(guide, guide.stretches);
      this.#twoPoints.moved(id);
      // What has shifted at the other point meanwhile is no turn of its own screws.
      for (const other of this.#guides.values()) if (other !== guide) other.forgetBalance();
    }
    if (guide.state.kind !== 'waiting') this.#twoPoints.found(id, guide.state.kind === 'equal');
    if (id === 'idle') this.#idleCheck.push(this.#speed.steadyRpm, this.#idleBand(), turned?.fromRpm ?? null);
  }

  #idleBand() {
    const { idleTargetRpm, idleBandRpm } = this.#terms;
    return idleTargetRpm == null || idleBandRpm == null
      ? null
      : { targetRpm: idleTargetRpm, bandRpm: idleBandRpm };
  }

  #pointsFor(terms: AdvisorTerms): BalancePoint[] {
    return balancePoints(this.linkage, {
      toleranceKpa: terms.toleranceKpa,
      raisedToleranceKpa: terms.raisedToleranceKpa ?? null,
      idleTargetRpm: terms.idleTargetRpm ?? null,
      raisedTargetRpm: terms.raisedTargetRpm ?? null,
    });
  }
}
