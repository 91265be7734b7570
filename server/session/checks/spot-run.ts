import {
  DEFAULT_LEAD_IN_S,
  DEFAULT_PRESS_S,
  DEFAULT_REPEATS,
  DEFAULT_REST_S,
  type PlannedPress,
  spotTestPlan,
} from '../../signal/leak/spot-plan.ts';
import { spotSeries } from '../../signal/leak/spot-series.ts';
import { SHORTEST_PRESS_S, type SpotResult, spotTest } from '../../signal/leak/spot-test.ts';
import type { CheckRecord } from './check-record.ts';
import {
  type CheckRun,
  type Finding,
  figure,
  NOTHING_MORE,
  named,
  overall,
  type RunEvent,
  type RunView,
} from './check-run.ts';

export interface SpotRunOptions {
  readonly spots: readonly string[];
  readonly repeats?: number;
  readonly seed: number;
  /** Every cylinder has a hose. */
  readonly everyCylinderSensed: boolean;
  /** Told of every press, for an engine that can be made to feel it. */
  readonly onPress?: (spot: string | null, down: boolean) => void;
}

const LEAD_OUT_S = 5;

/** A spot test step by step: the button is held as long as the spot is covered. */
export class SpotRun implements CheckRun {
  readonly #options: SpotRunOptions;
  readonly #record: CheckRecord;
  readonly #plan: readonly PlannedPress[];
  readonly #presses: PlannedPress[] = [];
  readonly #startS: number;
  #downS: number | null = null;
  #tooShort = false;

  constructor(options: SpotRunOptions, record: CheckRecord, startS: number) {
    this.#options = options;
    this.#record = record;
    this.#startS = startS;
    this.#plan = spotTestPlan(options.spots, options.repeats ?? DEFAULT_REPEATS, options.seed).presses;
  }

  happen(event: RunEvent, timeS: number): void {
    const planned = this.#plan[this.#presses.length];
    if (planned === undefined) return;
    if (event === 'down' && this.#downS === null) {
      this.#downS = timeS;
      this.#options.onPress?.(planned.spot, true);
    }
    if (event === 'up' && this.#downS !== null) {
      const startS = this.#downS;
      this.#downS = null;
      this.#options.onPress?.(planned.spot, false);
      this.#tooShort = timeS - startS < SHORTEST_PRESS_S;
      if (!this.#tooShort) this.#presses.push({ spot: planned.spot, startS, endS: timeS });
    }
  }

  view(timeS: number): RunView {
    const planned = this.#plan[this.#presses.length];
    const what = planned?.spot ?? null;
    const held = this.#downS !== null;
    const restedS = timeS - (this.#presses.at(-1)?.endS ?? this.#startS);
    const restS = this.#presses.length === 0 ? DEFAULT_LEAD_IN_S : DEFAULT_REST_S;
    const leftS = held
      ? DEFAULT_PRESS_S - (timeS - this.#downS!)
      : planned === undefined
        ? LEAD_OUT_S - restedS
        : restS - restedS;
    const doing =
      what === null
        ? 'hold the button and touch nothing, as a trial without a spot'
        : `cover "${what}" with water mist, finger or clamp and hold the button all the while`;
    const instruction =
      planned === undefined
        ? 'Let it idle a moment longer.'
        : held
          ? leftS > 0
            ? 'Keep holding.'
            : 'Let go now.'
          : leftS > 0
            ? `Let it idle. Next: ${doing}.`
            : `${this.#tooShort ? 'That was too short. ' : ''}Now ${doing}, for ${DEFAULT_PRESS_S} seconds.`;
    return {
      step: this.#presses.length,
      steps: this.#plan.length,
      instruction,
      button: planned === undefined ? null : (what ?? 'Nothing touched'),
      next: null,
      held,
      leftS: Math.max(0, leftS),
      figures: [],
      canFinish: this.#presses.some(({ spot }) => spot !== null),
    };
  }

  done(timeS: number): boolean {
    return this.#presses.length >= this.#plan.length && timeS > this.#presses.at(-1)!.endS + LEAD_OUT_S;
  }

  finish(): Finding {
    const { spots, everyCylinderSensed } = this.#options;
    const cycles = this.#record.takeCycles().cylinders.map((one) => one.cycleTable);
    const results = spotTest(this.#presses, spotSeries(cycles, this.#record.revolutions), {
      everyCylinderSensed,
    });
    const inOrder = spots
      .map((spot) => results.find((one) => one.spot === spot))
      .filter((one) => one !== undefined);
    const rows = inOrder.map(rowOf);
    const leaks = inOrder.filter(({ verdict }) => verdict === 'found');
    const open = inOrder.find(({ verdict }) => verdict === 'cannot-tell');
    const verdict = overall(rows.map((row) => row.verdict));
    return {
      ...NOTHING_MORE,
      verdict,
      rows,
      summary:
        leaks.length > 0
          ? `The engine answers at ${named(leaks.map(({ spot }) => `"${spot}"`))}.`
          : verdict === 'not-found'
            ? 'The engine answers at none of the spots.'
            : 'It cannot be told for every spot.',
      whatToDo: (leaks[0] ?? open ?? inOrder[0])?.whatToDo ?? 'Press at least one spot, then end the check.',
    };
  }
}

function rowOf(one: SpotResult): Finding['rows'][number] {
  const { chance } = one;
  return {
    name: one.spot,
    verdict: one.verdict,
    strength:
      chance === null
        ? null
        : one.verdict === 'found'
          ? `by chance alone in ${chance < 0.0001 ? 'fewer than 1 of 10 000' : `${(100 * chance).toPrecision(1)} % of`} tests`
          : `${one.presses} ${one.presses === 1 ? 'press' : 'presses'}`,
    whatToDo: one.whatToDo,
    figures: [
      ...figure('idle speed', one.idleSpeedPercent, '%'),
      ...one.vacuumKpa.flatMap((vacuum, cylinder) => figure(`vacuum ${cylinder + 1}`, vacuum, 'kPa')),
    ],
  };
}
