/**
 * Where captures are kept. Raw samples arrive in chunks of at most a second and are durable when `append`
 * returns, so that a dead battery costs at most the chunk under way.
 */
import type { CaptureLabel, CaptureSummary } from '../contract/captures.ts';

/** Everything needed to compute the readings again from the raw samples. */
export interface CaptureHeader {
  readonly label: CaptureLabel;
  readonly practice: boolean;
  readonly sourceAddress: string;
  readonly startedAtMs: number;
  readonly boardId: string;
  readonly firmwareVersion: string;
  readonly sensorTypes: readonly string[];
  readonly fullScaleCounts: number;
  readonly sampleRateHz: number;
  readonly clockRateHz: number;
  /** Delay of each channel's conversion after the sample's time [s]. */
  readonly channelDelaysS: readonly number[];
  /** The measuring set-up and the calibration in force, as JSON values. */
  readonly setup: unknown;
  readonly calibration: unknown;
  readonly softwareVersion: string;
  /** Visit that the capture hangs on, or null for a loose one. */
  readonly visitId: string | null;
}

/** A count that did not arrive. */
export const MISSING_COUNT = -1;

/** Samples in the order of time. `counts[c]` is the column of channel c; MISSING_COUNT marks a missing count. */
export interface SampleChunk {
  /** Board time since the start of the link, unwrapped [clock ticks]. */
  readonly timeTicks: readonly number[];
  readonly counts: readonly (readonly number[])[];
}

export interface CaptureStore {
  begin(header: CaptureHeader): string;
  append(captureId: string, chunk: SampleChunk): void;
  /** Marks the capture complete and keeps the summary figures shown in lists. */
  complete(captureId: string, summary: CaptureFigures): CaptureSummary;
  /** Keeps what there is and marks it interrupted. */
  interrupt(captureId: string, summary: CaptureFigures | null): CaptureSummary;
  list(): CaptureSummary[];
  get(captureId: string): CaptureSummary | null;
  header(captureId: string): CaptureHeader | null;
  /** Chunks in order; streams from disk. A damaged one is told of and left out, the rest stays readable. */
  chunks(captureId: string, onDamaged?: (damage: DamagedChunk) => void): Iterable<SampleChunk>;
}

/** A stored chunk that cannot be read any more. */
export interface DamagedChunk {
  /** Place in the capture, from 0. */
  readonly chunkNo: number;
  readonly reason: string;
}

/** The figures of a capture that lists show. */
export interface CaptureFigures {
  readonly spreadKpa: number | null;
  readonly spreadExpandedKpa: number | null;
  readonly gapsKpa: readonly (number | null)[];
  readonly idleRpm: number | null;
  readonly roughnessScore: number | null;
  /** Per cylinder, for the comparison of before and after; left out where it was not measured. */
  readonly cylinders?: readonly CylinderFigures[];
}

export interface CylinderFigures {
  /** Mean of the whole-cycle means [kPa of vacuum]. */
  readonly vacuumKpa: number | null;
  /** Standard error of vacuumKpa, autocorrelation of the cycles allowed for [kPa]. */
  readonly vacuumStandardErrorKpa: number | null;
  /** Standard deviation of the whole-cycle means: the engine's own scatter [kPa]. */
  readonly vacuumSdKpa: number | null;
  /** Expanded uncertainty, k = 2, calibration included [kPa]. */
  readonly vacuumExpandedKpa: number | null;
  /** Whole cycles in the mean. */
  readonly cycles: number;
}
