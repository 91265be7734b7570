import { type EngineSetup, revolutionsPerCycle } from '../../signal/engine-setup.ts';
import { type Analysis, RecordingAnalysis } from '../../signal/recording-analysis.ts';

/** Rows that are kept for a look back at; the cycles are followed at the full rate [1/s]. */
const KEPT_HZ = 500;
/** A check that nobody ends is ended then [s]. */
export const LONGEST_CHECK_S = 600;

export interface RecordOptions {
  readonly setup: EngineSetup;
  readonly channelDelaysS: readonly number[];
  readonly sampleRateHz: number;
}

/** What was measured since a check began: pressure of every cylinder and, where wanted, its cycles. */
export class CheckRecord {
  readonly setup: EngineSetup;
  readonly timeS: number[] = [];
  /** Absolute pressure by cylinder [kPa]. */
  readonly kpa: readonly number[][];
  readonly #stride: number;
  readonly #options: RecordOptions;
  #analysis: RecordingAnalysis;
  #rows = 0;

  constructor(options: RecordOptions) {
    this.setup = options.setup;
    this.#options = options;
    this.kpa = Array.from({ length: options.setup.cylinders }, () => []);
    this.#stride = Math.max(1, Math.round(options.sampleRateHz / KEPT_HZ));
    this.#analysis = this.#newAnalysis();
  }

  get revolutions(): number {
    return revolutionsPerCycle(this.setup.strokes);
  }

  get startS(): number {
    return this.timeS[0] ?? 0;
  }

  get nowS(): number {
    return this.timeS.at(-1) ?? 0;
  }

  /** @param absoluteKpa one per cylinder, NaN = missing */
  push(timeS: number, absoluteKpa: ArrayLike<number>): void {
    this.#analysis.push(timeS, absoluteKpa);
    if (this.#rows++ % this.#stride !== 0) return;
    this.timeS.push(timeS);
    this.kpa.forEach((column, cylinder) => {
      column.push(absoluteKpa[cylinder]!);
    });
  }

  vacuumKpa(): number[][] {
    return this.kpa.map((column) => column.map((value) => this.setup.barometricKpa - value));
  }

  /** The cycles since the beginning, or since this was last asked for. */
  takeCycles(): Analysis {
    const analysis = this.#analysis.finish();
    this.#analysis = this.#newAnalysis();
    return analysis;
  }

  #newAnalysis(): RecordingAnalysis {
    const { setup, channelDelaysS } = this.#options;
    return new RecordingAnalysis(setup, {
      channelDelaysS: channelDelaysS.slice(0, setup.cylinders),
      keepCycles: true,
    });
  }
}
