/** Where the calibrations of boards are kept. What was made is never changed: the newest that can be read counts. */
import type { BoardCalibration } from '../../calibration/board-calibration.ts';
import type { CalibrationKind } from '../../calibration/channel-calibration.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import type { SampleChunk } from './capture-store.ts';

export interface NewCalibration {
  readonly kind: CalibrationKind;
  /** [ms since 1970] */
  readonly madeAtMs: number;
  readonly technician: string | null;
  /** From then on it should be done again [ms since 1970]; null for never. */
  readonly expiresAtMs: number | null;
  readonly practice: boolean;
  readonly softwareVersion: string;
  /** The board as a whole afterwards: what was found before and still holds is in it. */
  readonly board: BoardCalibration;
  /** What it was found from, a JSON value: steps, residuals, gauge, barometric pressure. */
  readonly evidence: unknown;
  /** The raw counts that it was computed from, in the order of time. */
  readonly samples: SampleChunk;
}

export interface StoredCalibration extends Omit<NewCalibration, 'samples'> {
  readonly id: string;
}

/** One that was made elsewhere, with the pieces its samples are kept in. */
export interface WholeCalibration extends StoredCalibration {
  readonly chunks: readonly SampleChunk[];
}

/** What the person said of a sensor of which the board says nothing, or whose serial number is written down. */
export interface EnteredSensor {
  /** 0-based. */
  readonly channel: number;
  /** null where the board's own word counts. */
  readonly type: SensorType | null;
  readonly serial: string | null;
}

export interface CalibrationStore {
  /** @returns its id. @throws the database's error where the disk takes no more; then nothing is kept */
  append(calibration: NewCalibration): string;
  /** Takes in one that was made elsewhere; those made here count before it. One that is there already stays as it is. */
  putImported(calibration: WholeCalibration, importedAtMs: number): void;
  /**
   * Of one board, those made here first, then those that were imported, each newest first; one that cannot be read is told
   * of and left out.
   */
  ofBoard(boardId: string, onUnreadable?: (id: string, reason: string) => void): StoredCalibration[];
  get(id: string): StoredCalibration | null;
  /** Boards that have one, in the order of their ids. */
  boards(): string[];
  samples(id: string): SampleChunk[];
  sensors(boardId: string): EnteredSensor[];
  setSensors(boardId: string, sensors: readonly EnteredSensor[], enteredAtMs: number): void;
}
