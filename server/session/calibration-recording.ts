import type { BoardCalibration } from '../../calibration/board-calibration.ts';
import { channelScale } from '../../calibration/counts-to-kpa.ts';
import { type PressureRecord, pressureRecord } from '../../calibration/pressure-record.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import type { SampleChunk } from '../jobs/capture-store.ts';

/** The board that is being calibrated, as it is before. */
export interface DeskBoard {
  readonly boardId: string;
  readonly practice: boolean;
  readonly types: readonly SensorType[];
  readonly fullScaleCounts: number;
  readonly clockRateHz: number;
  /** Its calibration in force, or what the data sheets say. */
  readonly before: BoardCalibration;
}

/** A longer record is no calibration any more, and would fill the memory [s] … */
export const LONGEST_RECORD_S = 300;
/** … and so would more samples than these. */
const MOST_ROWS = 600_000;

/** Raw counts of all channels, gathered while a step of the calibration is under way. */
export class CalibrationRecording {
  readonly #board: DeskBoard;
  readonly #timeTicks: number[] = [];
  readonly #counts: number[][];

  constructor(board: DeskBoard) {
    this.#board = board;
    this.#counts = board.types.map(() => []);
  }

  get lengthS(): number {
    const first = this.#timeTicks[0];
    return first === undefined ? 0 : (this.#timeTicks.at(-1)! - first) / this.#board.clockRateHz;
  }

  get rows(): number {
    return this.#timeTicks.length;
  }

  get full(): boolean {
    return this.lengthS >= LONGEST_RECORD_S || this.rows >= MOST_ROWS;
  }

  /** @param timeTicks growing, as the session counts them */
  take(timeTicks: number, counts: readonly number[]): void {
    if (this.full) return;
    this.#timeTicks.push(timeTicks);
    this.#counts.forEach((column, channel) => {
      column.push(counts[channel] ?? -1);
    });
  }

  /** @param channels 0-based columns of the record, with the correction in force applied */
  pressures(channels: readonly number[], ambientKpa: number): PressureRecord {
    const { types, fullScaleCounts, before, clockRateHz } = this.#board;
    const first = this.#timeTicks[0] ?? 0;
    return pressureRecord(
      this.#timeTicks.map((ticks) => (ticks - first) / clockRateHz),
      channels.map((channel) => this.#counts[channel]!),
      channels.map((channel) => channelScale(types[channel]!, fullScaleCounts, before.channels[channel]!)),
      ambientKpa,
    );
  }

  samples(): SampleChunk {
    return { timeTicks: this.#timeTicks, counts: this.#counts };
  }
}

/** Several records as one, in the order of time. */
export function joined(chunks: readonly SampleChunk[]): SampleChunk {
  const channels = chunks[0]?.counts.length ?? 0;
  return {
    timeTicks: chunks.flatMap((chunk) => chunk.timeTicks),
    counts: Array.from({ length: channels }, (_, channel) =>
      chunks.flatMap((chunk) => chunk.counts[channel]!),
    ),
  };
}
