import { cylinderDrop } from '../../signal/condition/cylinder-drop.ts';
import { spotSeries } from '../../signal/leak/spot-series.ts';
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

export interface DropRunOptions {
  /** 0-based. */
  readonly order: readonly number[];
  /** Told when a cylinder is disabled and enabled, for an engine that can be made to feel it. */
  readonly onDisable?: (cylinder: number, disabled: boolean) => void;
}

const LEAD_IN_S = 5;
const OFF_S = 5;
const REST_S = 6;

/** A cylinder drop test step by step: the button is held as long as the cylinder is off. */
export class DropRun implements CheckRun {
  readonly #options: DropRunOptions;
  readonly #record: CheckRecord;
  readonly #startS: number;
  readonly #turns: { startS: number; endS: number }[] = [];
  #downS: number | null = null;

  constructor(options: DropRunOptions, record: CheckRecord, startS: number) {
    this.#options = options;
    this.#record = record;
    this.#startS = startS;
  }

  happen(event: RunEvent, timeS: number): void {
    const cylinder = this.#options.order[this.#turns.length];
    if (cylinder === undefined) return;
    if (event === 'down' && this.#downS === null) {
      this.#downS = timeS;
      this.#options.onDisable?.(cylinder, true);
    }
    if (event === 'up' && this.#downS !== null) {
      this.#turns.push({ startS: this.#downS, endS: timeS });
      this.#downS = null;
      this.#options.onDisable?.(cylinder, false);
    }
  }

  view(timeS: number): RunView {
    const { order } = this.#options;
    const cylinder = order[this.#turns.length];
    const held = this.#downS !== null;
    const restedS = timeS - (this.#turns.at(-1)?.endS ?? this.#startS);
    const rest = this.#turns.length === 0 ? LEAD_IN_S : REST_S;
    const leftS = held ? OFF_S - (timeS - this.#downS!) : rest - restedS;
    const name = `cylinder ${(cylinder ?? 0) + 1}`;
    return {
      step: this.#turns.length,
      steps: order.length,
      instruction:
        cylinder === undefined
          ? 'Let it idle a moment longer.'
          : held
            ? leftS > 0
              ? `Keep ${name} off and the button held.`
              : `Switch ${name} on again and let go.`
            : leftS > 0
              ? `Let it idle. Next: ${name}.`
              : `Switch ${name} off and hold the button as long as it is off, about ${OFF_S} seconds. If the engine dies, let go and start it again.`,
      button: cylinder === undefined ? null : `Cylinder ${cylinder + 1} is off`,
      next: null,
      held,
      leftS: Math.max(0, leftS),
      figures: [],
      canFinish: this.#turns.length >= Math.min(2, order.length),
    };
  }

  done(timeS: number): boolean {
    return this.#turns.length >= this.#options.order.length && timeS > this.#turns.at(-1)!.endS + REST_S;
  }

  finish(): Finding {
    const record = this.#record;
    const cycles = record.takeCycles().cylinders.map((one) => one.cycleTable);
    const series = spotSeries(cycles, record.revolutions);
    const order = this.#options.order.slice(0, this.#turns.length);
    const result = cylinderDrop({
      timeS: series.timeS,
      speedRpm: series.speedRpm,
      recordStartS: record.startS,
      recordEndS: record.nowS,
      order,
      marksS: this.#turns.map(({ startS }) => startS),
    });
    const rows = result.cylinders.map((one) => ({
      name: `Cylinder ${one.cylinder + 1}`,
      verdict: one.verdict,
      strength:
        one.state === null
          ? null
          : one.state === 'dead'
            ? 'no clear loss of speed'
            : `${((one.strength ?? 0) * 100).toFixed(0)} % of the usual loss of all`,
      whatToDo: one.whatToDo,
      figures: figure(
        one.stalled ? 'speed lost, engine stopped' : 'speed lost',
        one.lossRpm === null
          ? null
          : one.uncertaintyRpm === null
            ? one.lossRpm
            : { value: one.lossRpm, standardUncertainty: one.uncertaintyRpm },
        'r/min',
      ),
    }));
    const bad = result.cylinders.filter(({ verdict }) => verdict === 'found');
    return {
      ...NOTHING_MORE,
      verdict: overall(rows.map(({ verdict }) => verdict)),
      rows,
      summary:
        bad.length > 0
          ? `Too little work from cylinder ${named(bad.map(({ cylinder }) => String(cylinder + 1)))}.`
          : result.reason === null
            ? 'Every cylinder does its work.'
            : 'It cannot be told which cylinders work.',
      whatToDo: result.whatToDo,
    };
  }
}
