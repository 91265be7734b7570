/**
 * The whole of a recording in figures: the live core's cycles, without forgetting.
 *
 * Rows go in one by one, so a recording of any length passes through; what grows with it is one number per cycle and
 * figure, up to `MOST_CYCLES`.
 */
import { CycleTracker } from './cycle-tracker.ts';
import { type EngineSetup, revolutionsPerCycle } from './engine-setup.ts';
import { strongestHunting } from './hunting.ts';
import { MissedPulses } from './missed-pulses.ts';
import { type EngineCycle, PairedCycles } from './paired-cycles.ts';
import type { PressureCycle } from './pressure-cycle.ts';
import type { RoughnessFigures, SensorState } from './reading.ts';
import { type ComparedColumns, compareColumns } from './recording-comparison.ts';
import { roughnessOf } from './roughness.ts';
import { type SensorRange, sensorState } from './sensor-watch.ts';
import { type SeriesMean, seriesMean } from './series-mean.ts';

/** Engine cycles that are kept: a day and a half of idle. What comes after is left out, and said. */
export const MOST_CYCLES = 1_000_000;
/** Sensors are looked at this often [s]. */
const SENSORS_EVERY_S = 1;

export interface CycleRow {
  readonly startS: number;
  readonly endS: number;
  readonly meanVacuumKpa: number | null;
  readonly peakVacuumKpa: number | null;
  readonly pulseDepthKpa: number | null;
}

export interface CylinderAnalysis {
  /** Whole cycles with a mean. */
  readonly cycles: number;
  readonly vacuumKpa: SeriesMean | null;
  readonly peakVacuumKpa: number | null;
  readonly pulseDepthKpa: number | null;
  /** When missed or weak pulses were to be expected at their lowest [s]; null when pulses cannot be told. */
  readonly missedPulsesS: readonly number[] | null;
  readonly state: SensorState;
  /** Every cycle, when they were asked for. */
  readonly cycleTable: readonly CycleRow[];
}

export interface Analysis extends ComparedColumns {
  readonly engineCycles: number;
  /** Every engine cycle, when they were asked for. */
  readonly engineCycleTable: readonly { readonly startS: number; readonly endS: number }[];
  readonly idleRpm: { readonly mean: number; readonly sd: number | null } | null;
  readonly cylinders: readonly CylinderAnalysis[];
  readonly roughness: RoughnessFigures;
  /** Some cycles were left out because there were too many. */
  readonly truncated: boolean;
}

export interface AnalysisOptions {
  readonly channelDelaysS?: readonly number[];
  readonly sensorRanges?: readonly (SensorRange | null)[];
  /** Keep every cycle of every cylinder for a table. */
  readonly keepCycles?: boolean;
  /** Engine cycles, and cycles of each cylinder, that are kept; `MOST_CYCLES` unless told. */
  readonly mostCycles?: number;
}

interface Ledger {
  readonly vacuums: number[];
  readonly depths: number[];
  readonly missed: number[];
  readonly table: CycleRow[];
  readonly states: Map<SensorState, number>;
  lowestSum: number;
  lowestCount: number;
}

export class RecordingAnalysis {
  readonly #setup: EngineSetup;
  readonly #keepCycles: boolean;
  readonly #mostCycles: number;
  readonly #ranges: readonly (SensorRange | null)[];
  readonly #tracker: CycleTracker;
  readonly #pairs: PairedCycles;
  readonly #missed: MissedPulses;
  readonly #ledgers: Ledger[];
  readonly #timesS: number[] = [];
  readonly #lengthsS: number[] = [];
  /** Vacuum of each cylinder, but for the barometric pressure, in each engine cycle; NaN where it had no mean. */
  readonly #columns: number[][];
  #sensorsDueS = Number.NEGATIVE_INFINITY;
  #truncated = false;

  constructor(setup: EngineSetup, options: AnalysisOptions = {}) {
    const { cylinders } = setup;
    this.#setup = setup;
    this.#keepCycles = options.keepCycles ?? false;
    this.#mostCycles = options.mostCycles ?? MOST_CYCLES;
    this.#ranges = options.sensorRanges ?? Array.from({ length: cylinders }, () => null);
    const delaysS = options.channelDelaysS ?? Array.from({ length: cylinders }, () => 0);
    this.#tracker = new CycleTracker(setup, delaysS, (cycle) => this.#takeCycle(cycle));
    this.#pairs = new PairedCycles(cylinders, (cycle) => this.#takeEngineCycle(cycle));
    this.#ledgers = Array.from({ length: cylinders }, () => ({
      vacuums: [],
      depths: [],
      missed: [],
      table: [],
      states: new Map(),
      lowestSum: 0,
      lowestCount: 0,
    }));
    this.#columns = Array.from({ length: cylinders }, () => []);
    this.#missed = new MissedPulses(cylinders, ({ cylinder, timeS }) => {
      const { missed } = this.#ledgers[cylinder]!;
      if (missed.length < this.#mostCycles) missed.push(timeS);
    });
  }

  /** As `Instrument.push`. */
  push(timeS: number, absoluteKpa: ArrayLike<number>): void {
    if (this.#tracker.push(timeS, absoluteKpa) && timeS >= this.#sensorsDueS) this.#lookAtSensors(timeS);
  }

  /** Interval between rows that is usual [s]; 0 before the second row. */
  get usualIntervalS(): number {
    return this.#tracker.history.usualIntervalS;
  }

  /** The figures of all that was pushed. To be called once. */
  finish(): Analysis {
    this.#tracker.finish();
    if (this.#ledgers.every((ledger) => ledger.states.size === 0)) this.#lookAtSensors(this.#sensorsDueS);
    this.#pairs.flush();
    this.#missed.flush();
    const states = this.#ledgers.map((ledger) => mostFrequent(ledger.states));
    const cylinders = this.#ledgers.map((ledger, cylinder) => this.#cylinder(ledger, states[cylinder]!));
    return {
      engineCycles: this.#lengthsS.length,
      engineCycleTable: this.#keepCycles
        ? this.#timesS.map((timeS, cycle) => ({
            startS: timeS - 0.5 * this.#lengthsS[cycle]!,
            endS: timeS + 0.5 * this.#lengthsS[cycle]!,
          }))
        : [],
      idleRpm: this.#idleRpm(),
      cylinders,
      ...compareColumns(this.#columns, states, this.#setup.reference),
      roughness: this.#roughness(cylinders),
      truncated: this.#truncated,
    };
  }

  #takeCycle(cycle: PressureCycle): void {
    this.#pairs.push(cycle);
    const ledger = this.#ledgers[cycle.cylinder]!;
    if (ledger.vacuums.length >= this.#mostCycles) {
      this.#truncated = true;
      return;
    }
    const baro = this.#setup.barometricKpa;
    if (cycle.meanKpa !== null) ledger.vacuums.push(baro - cycle.meanKpa);
    if (cycle.depthKpa !== null) ledger.depths.push(cycle.depthKpa);
    if (cycle.lowestKpa !== null) {
      ledger.lowestSum += cycle.lowestKpa;
      ledger.lowestCount++;
    }
    if (this.#keepCycles) {
      ledger.table.push({
        startS: cycle.startS,
        endS: cycle.endS,
        meanVacuumKpa: cycle.meanKpa === null ? null : baro - cycle.meanKpa,
        peakVacuumKpa: cycle.lowestKpa === null ? null : baro - cycle.lowestKpa,
        pulseDepthKpa: cycle.depthKpa,
      });
    }
  }

  #takeEngineCycle(cycle: EngineCycle): void {
    this.#missed.push(cycle);
    if (this.#lengthsS.length >= this.#mostCycles) return;
    const lead = cycle.cycles.find((one) => one !== null && this.#tracker.steers(one.cylinder));
    if (lead === null || lead === undefined) return;
    this.#timesS.push(0.5 * (lead.startS + lead.endS));
    this.#lengthsS.push(lead.endS - lead.startS);
    cycle.cycles.forEach((one, cylinder) => {
      this.#columns[cylinder]!.push(one === null || one.meanKpa === null ? Number.NaN : -one.meanKpa);
    });
  }

  #lookAtSensors(timeS: number): void {
    const first = this.#sensorsDueS === Number.NEGATIVE_INFINITY;
    this.#sensorsDueS = timeS + SENSORS_EVERY_S;
    if (first) return;
    for (const [cylinder, ledger] of this.#ledgers.entries()) {
      const state = sensorState(this.#tracker.history, cylinder, {
        engineRuns: this.#tracker.periodS !== null,
        steers: this.#tracker.steers(cylinder),
        residualKpa: this.#tracker.residualKpa(cylinder),
        usualDepthKpa: this.#tracker.template(cylinder)?.depthKpa ?? null,
        barometricKpa: this.#setup.barometricKpa,
        range: this.#ranges[cylinder] ?? null,
      });
      ledger.states.set(state, (ledger.states.get(state) ?? 0) + 1);
    }
  }

  #cylinder(ledger: Ledger, state: SensorState): CylinderAnalysis {
    const measured = ledger.depths.length > 0;
    const lowest = ledger.lowestCount > 0 ? ledger.lowestSum / ledger.lowestCount : null;
    return {
      cycles: ledger.vacuums.length,
      vacuumKpa: ledger.vacuums.length > 0 ? seriesMean(ledger.vacuums) : null,
      peakVacuumKpa: lowest === null ? null : this.#setup.barometricKpa - lowest,
      pulseDepthKpa: measured
        ? ledger.depths.reduce((sum, one) => sum + one, 0) / ledger.depths.length
        : null,
      missedPulsesS: measured ? ledger.missed : null,
      state,
      cycleTable: ledger.table,
    };
  }

  #idleRpm(): { mean: number; sd: number | null } | null {
    if (this.#lengthsS.length === 0) return null;
    const revolutions = revolutionsPerCycle(this.#setup.strokes);
    const speed = seriesMean(this.#lengthsS.map((lengthS) => (60 * revolutions) / lengthS));
    return { mean: speed.mean, sd: speed.sd };
  }

  #roughness(cylinders: readonly CylinderAnalysis[]): RoughnessFigures {
    const revolutions = revolutionsPerCycle(this.#setup.strokes);
    const observedS = this.#lengthsS.reduce((sum, lengthS) => sum + lengthS, 0);
    return roughnessOf(
      {
        cycleTimesS: this.#timesS,
        cycleLengthsS: this.#lengthsS,
        revolutions,
        cylinders: cylinders.map((one, cylinder) => ({
          depthsKpa: this.#ledgers[cylinder]!.depths,
          missed: one.missedPulsesS?.length ?? null,
          observedS,
        })),
      },
      strongestHunting(this.#timesS, this.#lengthsS, revolutions),
    );
  }
}

function mostFrequent(states: ReadonlyMap<SensorState, number>): SensorState {
  let best: SensorState = 'no-pulse';
  let most = 0;
  for (const [state, count] of states) {
    if (count > most) {
      most = count;
      best = state;
    }
  }
  return best;
}
