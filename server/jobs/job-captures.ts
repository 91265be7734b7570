import type { CaptureSummary } from '../contract/captures.ts';
import type { WholeCapture } from './capture-records.ts';
import type { CaptureFigures, CaptureHeader, DamagedChunk, SampleChunk } from './capture-store.ts';

type Soon<T> = T | Promise<T>;

/** The captures that jobs speak of: those of this bench, or those of all benches that share the record. */
export interface JobCaptures {
  /** Of one visit, oldest first. */
  listForVisit(visitId: string): Soon<CaptureSummary[]>;
  get(captureId: string): Soon<CaptureSummary | null>;
  header(captureId: string): Soon<CaptureHeader | null>;
  figures(captureId: string): Soon<CaptureFigures | null>;
  /** In order. A damaged one is told of and left out. */
  chunks(
    captureId: string,
    onDamaged?: (damage: DamagedChunk) => void,
  ): Iterable<SampleChunk> | AsyncIterable<SampleChunk>;
  /** Hangs a capture on a visit, or with null takes it off. @returns null where there is no such capture */
  setVisit(captureId: string, visitId: string | null): Soon<CaptureSummary | null>;
  /** Takes in a capture that was made elsewhere, all or nothing; one that is there already stays as it is. */
  insertWhole(capture: WholeCapture): Soon<void>;
}
