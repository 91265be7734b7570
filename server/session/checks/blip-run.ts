import { type BlipOptions, blipResponse, FEWEST_BLIPS } from '../../signal/condition/blip-response.ts';
import { throttleBlips } from '../../signal/condition/throttle-blips.ts';
import { spotSeries } from '../../signal/leak/spot-series.ts';
import type { CheckRecord } from './check-record.ts';
import {
  type CheckRun,
  type Finding,
  figure,
  inPercent,
  named,
  overall,
  PLAIN_VIEW,
  type RunView,
  sigmas,
} from './check-run.ts';

const WANTED = 5;
const LEAD_IN_S = 3;
const REST_S = 3;
/** Blips are looked for this often [s]. */
const LOOK_EVERY_S = 0.5;
/** And more seldom by this part of the record, which takes longer to look through the longer it is. */
const LOOK_SELDOM_SHARE = 0.01;

/** A blip test: each blip is found in the pressure, nobody has to mark it. */
export class BlipRun implements CheckRun {
  readonly #record: CheckRecord;
  readonly #startS: number;
  readonly #earlier: BlipOptions['earlier'];
  #blips = 0;
  #lastShutS = 0;
  #lookedS = Number.NEGATIVE_INFINITY;

  constructor(earlier: BlipOptions['earlier'], record: CheckRecord, startS: number) {
    this.#record = record;
    this.#startS = startS;
    this.#earlier = earlier;
  }

  happen(): void {}

  view(timeS: number): RunView {
    this.#look(timeS);
    const leftS =
      this.#blips === 0
        ? LEAD_IN_S - (timeS - this.#startS)
        : REST_S + LOOK_EVERY_S - (timeS - this.#lastShutS);
    return {
      ...PLAIN_VIEW,
      step: Math.min(WANTED, this.#blips),
      steps: WANTED,
      instruction:
        this.#blips >= WANTED
          ? 'Enough. Let it idle a moment longer.'
          : leftS > 0
            ? 'Let it idle.'
            : 'Blip: open the throttle sharply by a third or more and let go at once.',
      leftS: Math.max(0, leftS),
      figures: figure('blips seen', this.#blips, ''),
      canFinish: this.#blips >= FEWEST_BLIPS,
    };
  }

  done(timeS: number): boolean {
    this.#look(timeS);
    return this.#blips >= WANTED && timeS > this.#lastShutS + REST_S;
  }

  finish(): Finding {
    const record = this.#record;
    const cycles = record.takeCycles().cylinders.map((one) => one.cycleTable);
    const series = spotSeries(cycles, record.revolutions);
    const result = blipResponse(
      {
        timeS: record.timeS,
        vacuumKpa: record.vacuumKpa(),
        cycleTimeS: series.timeS,
        cycleSpeedRpm: series.speedRpm,
        revolutions: record.revolutions,
      },
      this.#earlier === undefined ? {} : { earlier: this.#earlier },
    );
    const late = result.cylinders.filter(({ verdict }) => verdict === 'found');
    const verdict = overall(result.cylinders.map((one) => one.verdict));
    return {
      hints: [],
      picture: null,
      blipShares: result.cylinders.map(({ remainingShare }) => remainingShare?.value ?? null),
      verdict,
      summary:
        late.length > 0
          ? `The slide of cylinder ${named(late.map(({ cylinder }) => String(cylinder + 1)))} lags.`
          : verdict === 'not-found'
            ? `All cylinders answer alike in ${result.blips.length} blips.`
            : `It cannot be told from ${result.blips.length} blips.`,
      whatToDo: result.whatToDo,
      rows: result.cylinders.map((one) => ({
        name: `Cylinder ${one.cylinder + 1}`,
        verdict: one.verdict,
        strength: sigmas(one.strength),
        whatToDo: one.whatToDo,
        figures: [
          ...figure('vacuum left while open', inPercent(one.remainingShare), '%'),
          ...figure('more than the others', inPercent(one.excess), '%'),
          ...figure('dip', one.dipKpa, 'kPa'),
          ...figure('delay', one.delayS, 's'),
          ...figure('recovery', one.recoveryS, 's'),
        ],
      })),
    };
  }

  #look(timeS: number): void {
    if (timeS - this.#lookedS < LOOK_EVERY_S + LOOK_SELDOM_SHARE * (timeS - this.#startS)) return;
    this.#lookedS = timeS;
    const record = this.#record;
    const blips = throttleBlips({
      timeS: record.timeS,
      vacuumKpa: record.vacuumKpa(),
      cycleTimeS: [],
      cycleSpeedRpm: [],
      revolutions: record.revolutions,
    });
    this.#blips = blips.length;
    this.#lastShutS = blips.at(-1)?.shutS ?? 0;
  }
}
