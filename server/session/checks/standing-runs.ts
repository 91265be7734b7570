/** Checks of an engine that stands or is turned by the starter. */

import type { Figure } from '../../signal/check-verdict.ts';
import { crankingCheck } from '../../signal/condition/cranking-check.ts';
import { keyOffCheck } from '../../signal/condition/key-off-check.ts';
import type { CheckRecord } from './check-record.ts';
import {
  type CheckRun,
  type Finding,
  figure,
  NOTHING_MORE,
  named,
  overall,
  PLAIN_VIEW,
  type RunView,
  sigmas,
} from './check-run.ts';

const KEY_OFF_S = 3;
const CRANKING_S = 20;
const CRANKED_S = 5;
/** Cranking is looked for this often [s]. */
const LOOK_EVERY_S = 0.5;

export class KeyOffRun implements CheckRun {
  readonly #record: CheckRecord;
  readonly #startS: number;
  readonly #barometricKpa: Figure;
  readonly #uncertaintyKpa: readonly number[];

  constructor(barometricKpa: Figure, uncertaintyKpa: readonly number[], record: CheckRecord, startS: number) {
    this.#barometricKpa = barometricKpa;
    this.#uncertaintyKpa = uncertaintyKpa;
    this.#record = record;
    this.#startS = startS;
  }

  happen(): void {}

  view(timeS: number): RunView {
    return {
      ...PLAIN_VIEW,
      instruction: 'Engine off, all hoses as they are. Wait.',
      leftS: Math.max(0, KEY_OFF_S - (timeS - this.#startS)),
    };
  }

  done(timeS: number): boolean {
    return timeS - this.#startS > KEY_OFF_S;
  }

  finish(): Finding {
    const result = keyOffCheck({
      kpa: this.#record.kpa,
      barometricKpa: this.#barometricKpa,
      channelUncertaintyKpa: this.#uncertaintyKpa,
    });
    const off = result.channels.filter(({ verdict }) => verdict === 'found');
    const verdict = overall(result.channels.map((one) => one.verdict));
    return {
      ...NOTHING_MORE,
      verdict,
      summary:
        off.length > 0
          ? `The zero of sensor ${named(off.map(({ channel }) => String(channel + 1)))} is off.`
          : verdict === 'not-found'
            ? 'All sensors read the air’s pressure.'
            : 'It cannot be told whether the sensors are right.',
      whatToDo: result.whatToDo,
      rows: result.channels.map((one) => ({
        name: `Sensor ${one.channel + 1}`,
        verdict: one.verdict,
        strength:
          one.strength === null
            ? null
            : `${one.strength.toFixed(1)} standard uncertainties from the air’s pressure`,
        whatToDo: one.whatToDo,
        figures: figure('over the barometric pressure', one.offsetKpa, 'kPa'),
      })),
    };
  }
}

export class CrankingRun implements CheckRun {
  readonly #record: CheckRecord;
  readonly #startS: number;
  #crankedS = 0;
  #lookedS = Number.NEGATIVE_INFINITY;

  constructor(record: CheckRecord, startS: number) {
    this.#record = record;
    this.#startS = startS;
  }

  happen(): void {}

  view(timeS: number): RunView {
    this.#look(timeS);
    return {
      ...PLAIN_VIEW,
      instruction:
        this.#crankedS >= CRANKED_S
          ? 'Enough: let the starter rest.'
          : 'Ignition off, throttles shut: crank for five seconds.',
      leftS: Math.max(0, CRANKING_S - (timeS - this.#startS)),
      figures: figure('cranked', this.#crankedS, 's'),
      canFinish: this.#crankedS > 0,
    };
  }

  done(timeS: number): boolean {
    this.#look(timeS);
    return this.#crankedS >= CRANKED_S || timeS - this.#startS > CRANKING_S;
  }

  finish(): Finding {
    const result = crankingCheck(this.#record.timeS, this.#record.vacuumKpa());
    const weak = result.cylinders.filter(({ verdict }) => verdict === 'found');
    const verdict = overall(result.cylinders.map((one) => one.verdict));
    return {
      ...NOTHING_MORE,
      verdict,
      summary:
        weak.length > 0
          ? `Cylinder ${named(weak.map(({ cylinder }) => String(cylinder + 1)))} pulls less than the others.`
          : verdict === 'not-found'
            ? 'The cylinders pull alike on the starter.'
            : 'It cannot be told how the cylinders pull.',
      whatToDo: result.whatToDo,
      rows: result.cylinders.map((one) => ({
        name: `Cylinder ${one.cylinder + 1}`,
        verdict: one.verdict,
        strength: sigmas(one.strength),
        whatToDo: one.whatToDo,
        figures: [
          ...figure('cranking vacuum', one.vacuumKpa, 'kPa'),
          ...figure('of the others’', one.share === null ? null : 100 * one.share, '%'),
        ],
      })),
    };
  }

  #look(timeS: number): void {
    if (timeS - this.#lookedS < LOOK_EVERY_S) return;
    this.#lookedS = timeS;
    this.#crankedS = crankingCheck(this.#record.timeS, this.#record.vacuumKpa()).crankedS;
  }
}
