import { DEFAULT_PASS_LIMIT, holdTest, type PassLimit } from '../../signal/leak/hold-test.ts';
import type { CheckRecord } from './check-record.ts';
import {
  type CheckRun,
  type Finding,
  figure,
  NOTHING_MORE,
  PLAIN_VIEW,
  type RunView,
  sigmas,
} from './check-run.ts';

export interface HoldRunOptions {
  /** 0-based. */
  readonly channel: number;
  readonly passLimit?: PassLimit;
  readonly volumeMl?: number;
  readonly barometricUncertaintyKpa: number;
}

/** Above this the part counts as pumped down [kPa]. */
const PUMPED_KPA = 5;
/** A stroke of the pump, or what the sensor's noise never is [kPa]. */
const STROKE_KPA = 0.5;
const LONGEST_S = 500;
const RECENT_S = 0.25;
/** It can be ended by hand after so long, and ends by itself so long after the time of the limit [s]. */
const SHORTEST_WATCH_S = 5;
const WATCH_BEYOND_S = 2;

/** A hold test: pump down, let go, watch. The stroke of the pump is found in the record. */
export class HoldRun implements CheckRun {
  readonly #options: HoldRunOptions;
  readonly #record: CheckRecord;
  readonly #limit: PassLimit;
  #most = 0;
  #mostS = 0;

  constructor(options: HoldRunOptions, record: CheckRecord, startS: number) {
    this.#options = options;
    this.#record = record;
    this.#limit = options.passLimit ?? DEFAULT_PASS_LIMIT;
    this.#mostS = startS;
  }

  happen(): void {}

  view(timeS: number): RunView {
    const now = this.#vacuumNow();
    const pumpedAgain = now > this.#most + STROKE_KPA;
    const letIn = now < this.#most / 2;
    if (pumpedAgain || letIn) {
      this.#most = now;
      this.#mostS = timeS;
    }
    const pumped = this.#most > PUMPED_KPA;
    const leftS = pumped ? Math.max(0, this.#limit.inS - (timeS - this.#mostS)) : null;
    return {
      ...PLAIN_VIEW,
      instruction: pumped
        ? 'Leave pump, part and hose alone and watch. Pump again if it was not enough.'
        : 'Pump the closed part down by hand to the vacuum that the service data name, then let go.',
      leftS,
      figures: [
        ...figure('vacuum now', now, 'kPa'),
        ...(pumped ? figure('most so far', this.#most, 'kPa') : []),
      ],
      canFinish: pumped && timeS - this.#mostS > SHORTEST_WATCH_S,
    };
  }

  done(timeS: number): boolean {
    this.view(timeS);
    return (
      this.#most > PUMPED_KPA && timeS - this.#mostS > Math.min(LONGEST_S, this.#limit.inS + WATCH_BEYOND_S)
    );
  }

  finish(): Finding {
    const { channel, volumeMl, barometricUncertaintyKpa } = this.#options;
    const record = this.#record;
    const result = holdTest(record.timeS, record.kpa[channel]!, {
      barometricKpa: record.setup.barometricKpa,
      barometricUncertaintyKpa,
      passLimit: this.#limit,
      ...(volumeMl === undefined
        ? {}
        : { volumeMl: { value: volumeMl, standardUncertainty: VOLUME_SHARE * volumeMl } }),
    });
    const { verdict } = result;
    return {
      ...NOTHING_MORE,
      verdict,
      summary:
        verdict === 'found'
          ? 'The part does not hold.'
          : verdict === 'not-found'
            ? 'The part holds.'
            : 'It cannot be told whether the part holds.',
      whatToDo: result.whatToDo,
      rows: [
        {
          name: `On hose ${channel + 1}, at most ${this.#limit.dropKpa} kPa lost in ${this.#limit.inS} s`,
          verdict,
          strength: sigmas(result.strength),
          whatToDo: result.whatToDo,
          figures: [
            ...figure('vacuum at the start', result.startVacuumKpa, 'kPa'),
            ...figure(`lost in ${this.#limit.inS} s`, result.limitDropKpa, 'kPa'),
            ...figure('lost in the first minute', result.firstMinuteDropKpa, 'kPa'),
            ...figure('watched', result.watchedS, 's'),
            ...figure('rise while choked', result.chokedKpaPerS, 'kPa/s'),
            ...figure('air drawn in', result.conductanceMlPerS, 'ml/s'),
            ...figure('hole', result.holeMm, 'mm'),
          ],
        },
      ],
    };
  }

  #vacuumNow(): number {
    const { timeS, kpa, setup } = this.#record;
    let sum = 0;
    let count = 0;
    for (let row = timeS.length - 1; row >= 0 && this.#record.nowS - timeS[row]! < RECENT_S; row--) {
      const value = kpa[this.#options.channel]![row]!;
      if (!Number.isFinite(value)) continue;
      sum += value;
      count++;
    }
    return count === 0 ? 0 : setup.barometricKpa - sum / count;
  }
}

/** A volume that was measured with a syringe or reckoned from a hose's length, standard, relative. */
const VOLUME_SHARE = 0.1;
