/** The advice beside the measurement of one board and one engine. Pure: it knows no clock but the readings' own. */
import type { Advice } from '../contract/live.ts';
import type { Setup } from '../contract/setup.ts';
import { Advisor, type AdvisorTerms } from '../signal/advice/advisor.ts';
import type { Reading } from '../signal/reading.ts';
import { engineSetup } from './setup-change.ts';
import { linkageOf } from './setup-linkage.ts';

/** Half-band where an idle speed is given without one [r/min]; common practice, no source. */
export const USUAL_IDLE_BAND_RPM = 50;

/** A hand is not quicker, and each look costs processor time [s]. */
const ADVISE_EVERY_S = 0.09;

export class AdviceDesk {
  readonly #differenceUncertaintyKpa: readonly number[];
  #setup: Setup;
  #cylinders: number;
  #advisor: Advisor;
  #said: { readonly atS: number; readonly advice: Advice } | null = null;

  /**
   * @param cylinders that are measured
   * @param differenceUncertaintyKpa as given to the instrument [kPa]
   */
  constructor(setup: Setup, cylinders: number, differenceUncertaintyKpa: readonly number[]) {
    this.#setup = setup;
    this.#cylinders = cylinders;
    this.#differenceUncertaintyKpa = differenceUncertaintyKpa;
    this.#advisor = this.#newAdvisor();
  }

  /** What the screws do stays known unless the set itself is another. */
  useSetup(setup: Setup, cylinders: number): void {
    const sameSet =
      cylinders === this.#cylinders &&
      JSON.stringify(linkageOf(setup, cylinders)) === JSON.stringify(this.#advisor.linkage);
    this.#setup = setup;
    this.#cylinders = cylinders;
    this.#said = null;
    if (sameSet) this.#advisor.setTerms(this.#terms());
    else this.#advisor = this.#newAdvisor();
  }

  /** Samples do not join on to those before. */
  break(): void {
    this.#said = null;
    this.#advisor.forgetBalance();
  }

  /** Takes a reading, 5 to 30 of them a second, and says what is to be turned next. */
  advise(reading: Reading): Advice {
    const { timeS } = reading;
    const said = this.#said;
    if (said !== null && timeS !== null && timeS >= said.atS && timeS - said.atS < ADVISE_EVERY_S)
      return said.advice;
    const advice = this.#adviceOn(reading);
    this.#said = timeS === null ? null : { atS: timeS, advice };
    return advice;
  }

  #adviceOn(reading: Reading): Advice {
    this.#advisor.push(reading);
    const { state, sentence, move, point, idle } = this.#advisor.advice();
    const { points } = this.#advisor;
    return {
      state,
      sentence,
      move:
        move === null
          ? null
          : {
              screw: move.screw + 1,
              screwName: move.screwName,
              direction: move.direction,
              fraction: move.fraction,
              confidence: move.confidence,
            },
      point,
      points:
        points.length < 2
          ? []
          : points.map(({ id, toleranceKpa, fromRpm, toRpm, equal }) => ({
              id,
              toleranceKpa,
              fromRpm,
              toRpm,
              equal,
            })),
      toleranceKpa: points.find(({ id }) => id === point)?.toleranceKpa ?? this.#setup.toleranceKpa,
      idle: { state: idle.state, sentence: idle.sentence },
    };
  }

  #newAdvisor(): Advisor {
    return new Advisor(linkageOf(this.#setup, this.#cylinders), {
      ...this.#terms(),
      differenceUncertaintyKpa: this.#differenceUncertaintyKpa,
    });
  }

  #terms(): AdvisorTerms {
    const { toleranceKpa, idleTargetRpm, idleBandRpm, raisedTargetRpm, raisedToleranceKpa } = this.#setup;
    return {
      reference: engineSetup(this.#setup, this.#cylinders).reference,
      toleranceKpa,
      raisedToleranceKpa: raisedToleranceKpa ?? null,
      raisedTargetRpm: raisedTargetRpm ?? null,
      idleTargetRpm,
      idleBandRpm: idleBandRpm ?? USUAL_IDLE_BAND_RPM,
    };
  }
}
