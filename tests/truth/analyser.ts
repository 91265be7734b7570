import type { EngineSetup } from '../../server/signal/engine-setup.ts';
import type { Reading } from '../../server/signal/reading.ts';

/** What is judged: anything that turns a recording, or samples one by one, into readings. */
export interface Analyser {
  /**
   * @param timeS time stamp of each row [s], rising
   * @param kpa absolute pressure [kPa] by channel, then row
   */
  analyse(timeS: Float64Array, kpa: readonly Float64Array[], options: AnalyseOptions): Analysis;
  live(setup: EngineSetup, board?: BoardTiming): LiveMeter;
}

/** What the board's description says of its converter. */
export interface BoardTiming {
  /** Delay of each channel's conversion behind the row's time [s]. */
  readonly channelDelaysS: readonly number[];
}

export interface AnalyseOptions extends Partial<BoardTiming> {
  readonly baroKpa: number;
  readonly strokes: 4 | 2;
  readonly pulsesPerCycle?: readonly number[];
}

export interface LiveMeter {
  push(timeS: number, kpaRow: ArrayLike<number>): void;
  reading(): Reading;
}

export interface CycleRow {
  readonly startS: number;
  readonly endS: number;
  readonly meanVacuumKpa: number;
  readonly peakVacuumKpa: number;
  readonly pulseDepthKpa: number;
}

export interface Analysis {
  readonly cylinders: readonly {
    readonly cycleTable: readonly CycleRow[];
    readonly vacuumKpa: { readonly mean: number; readonly sd: number; readonly standardError: number } | null;
    readonly missedPulsesS: readonly number[];
    readonly state: string;
  }[];
  readonly engineCycles: readonly { readonly startS: number; readonly endS: number }[];
  /** Each cylinder's gap to the mean of all [kPa of vacuum]; null where it cannot be told. */
  readonly gapsKpa: readonly ({ readonly value: number; readonly expandedUncertainty: number } | null)[];
}
