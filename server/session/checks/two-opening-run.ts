import { type RefillResult, refillSlope } from '../../signal/leak/refill-slope.ts';
import { twoOpeningTest } from '../../signal/leak/two-opening-test.ts';
import type { CheckRecord } from './check-record.ts';
import {
  type CheckRun,
  type Finding,
  figure,
  inPercent,
  NOTHING_MORE,
  named,
  overall,
  PLAIN_VIEW,
  type RunEvent,
  type RunView,
  sigmas,
} from './check-run.ts';

const WATCH_S = 8;

/** Two-opening test: the idle is watched, then a raised speed that is held. */
export class TwoOpeningRun implements CheckRun {
  readonly #record: CheckRecord;
  #partS: number;
  #idle: readonly RefillResult[] | null = null;
  #raising = false;

  constructor(record: CheckRecord, startS: number) {
    this.#record = record;
    this.#partS = startS;
  }

  happen(event: RunEvent, timeS: number): void {
    if (event !== 'next') return;
    if (this.#idle === null && timeS - this.#partS >= WATCH_S) {
      this.#idle = this.#slopes();
      this.#raising = true;
    } else if (this.#raising) {
      this.#raising = false;
      this.#record.takeCycles();
      this.#partS = timeS;
    }
  }

  view(timeS: number): RunView {
    const leftS = Math.max(0, WATCH_S - (timeS - this.#partS));
    const step = this.#idle === null ? 0 : this.#raising ? 1 : 2;
    return {
      ...PLAIN_VIEW,
      step,
      steps: 3,
      instruction: [
        leftS > 0 ? 'Let it idle steadily.' : 'Idle measured: go on when you are ready to raise the speed.',
        'Raise the speed to two or three times the idle with cable or throttle stop screw, hold it steady, then go on.',
        'Hold this speed.',
      ][step]!,
      next: step === 0 && leftS <= 0 ? 'Idle measured' : step === 1 ? 'Speed is held' : null,
      leftS: this.#raising ? null : leftS,
    };
  }

  done(timeS: number): boolean {
    return this.#idle !== null && !this.#raising && timeS - this.#partS > WATCH_S;
  }

  finish(): Finding {
    const results = twoOpeningTest(this.#idle ?? [], this.#idle === null ? [] : this.#slopes());
    const off = results.flatMap((one, cylinder) => (one.verdict === 'found' ? [{ ...one, cylinder }] : []));
    const names = (cause: 'leak' | 'linkage'): string =>
      named(off.filter((one) => one.cause === cause).map(({ cylinder }) => String(cylinder + 1)));
    const parts = [
      names('leak') === '' ? '' : `Leak at cylinder ${names('leak')}.`,
      names('linkage') === '' ? '' : `Linkage off at cylinder ${names('linkage')}.`,
    ].filter((part) => part !== '');
    const verdict = overall(results.map((one) => one.verdict));
    return {
      ...NOTHING_MORE,
      verdict,
      summary:
        parts.length > 0
          ? parts.join(' ')
          : verdict === 'not-found'
            ? 'All openings are even at both speeds.'
            : 'It cannot be told from these two speeds.',
      whatToDo:
        (off[0] ?? results.find((one) => one.verdict === 'cannot-tell') ?? results[0])?.whatToDo ??
        'Go through all three steps.',
      rows: results.map((one, cylinder) => ({
        name: `Cylinder ${cylinder + 1}`,
        verdict: one.verdict,
        strength: sigmas(one.strength),
        whatToDo: one.whatToDo,
        figures: [
          ...figure('does not grow with the throttle', inPercent(one.constantShare), '%'),
          ...figure('grows more than the others', inPercent(one.scalingExcess), '%'),
          ...figure('opening raised by', one.growth, ''),
        ],
      })),
    };
  }

  #slopes(): RefillResult[] {
    const record = this.#record;
    const cycles = record.takeCycles().cylinders.map((one) => one.cycleTable);
    const from = Math.max(
      0,
      record.timeS.findIndex((timeS) => timeS >= this.#partS),
    );
    const timeS = Float64Array.from(record.timeS.slice(from));
    return record.kpa.map((column, cylinder) =>
      refillSlope({
        timeS,
        kpa: Float64Array.from(column.slice(from)),
        cycles: cycles[cylinder]!,
        barometricKpa: record.setup.barometricKpa,
      }),
    );
  }
}
