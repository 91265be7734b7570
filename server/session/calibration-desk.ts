/**
 * One calibration from its start to what is proposed: collects samples, finds the steady steps, computes, refuses.
 * Pure: samples, air pressure and time are given to it, and nothing is saved here.
 */

import { blockMeans } from '../../calibration/block-means.ts';
import type { BoardCalibration } from '../../calibration/board-calibration.ts';
import {
  type CalibrationStamp,
  withMatching,
  withSpan,
  withZero,
} from '../../calibration/calibrate-board.ts';
import { type CalibrationRefusal, refused } from '../../calibration/calibration-refusals.ts';
import type { CalibrationKind } from '../../calibration/channel-calibration.ts';
import { type Matching, matchChannels } from '../../calibration/matching.ts';
import { findPlateaus } from '../../calibration/plateaus.ts';
import { fitSpan, type ReferenceGauge, type SpanFit, type SpanPoint } from '../../calibration/span.ts';
import type { BarometricPressure } from '../../calibration/standard-atmosphere.ts';
import { steadyMean } from '../../calibration/steady-mean.ts';
import { rectangular } from '../../calibration/uncertainty.ts';
import { type Zeroing, zeroChannels } from '../../calibration/zero.ts';
import type { SampleChunk } from '../jobs/capture-store.ts';
import { CalibrationRecording, type DeskBoard, joined } from './calibration-recording.ts';

/** A zero takes so long [s], and a reading of the gauge. */
export const ZERO_RECORD_S = 3;
export const SPAN_RECORD_S = 2;
/** The pressure may move by so much while the gauge is read [kPa]. */
export const SPAN_STILL_KPA = 0.5;
/** The steps found so far are looked for again after so much more [s]. */
const LOOK_EVERY_S = 0.4;

export interface FoundStep {
  readonly lengthS: number;
  readonly meanKpa: number;
}

export interface GaugeOnSource {
  readonly gauge: ReferenceGauge;
  /** What a gauge of vacuum counts from: the air pressure of a zero that was set just before. */
  readonly zero: BarometricPressure | null;
}

/** What was found, before anyone has said that it is to count. */
export type Finding =
  | { readonly kind: 'zero'; readonly result: Zeroing }
  | { readonly kind: 'matching'; readonly result: Matching }
  | {
      readonly kind: 'span';
      readonly result: SpanFit;
      readonly points: readonly SpanPoint[];
      readonly source: GaugeOnSource;
    };

export type DeskPhase = 'idle' | 'recording' | 'waiting' | 'refused' | 'proposed';

interface Work {
  readonly kind: CalibrationKind;
  /** 0-based. */
  readonly channels: readonly number[];
  readonly ambientKpa: number;
  readonly air: BarometricPressure | null;
  readonly source: GaugeOnSource | null;
}

export class CalibrationDesk {
  readonly board: DeskBoard;
  #phase: DeskPhase = 'idle';
  #work: Work | null = null;
  #recording: CalibrationRecording | null = null;
  #kept: SampleChunk[] = [];
  #points: SpanPoint[] = [];
  #reading: { readonly referenceKpa: number; readonly referenceUncertaintyKpa: number } | null = null;
  #refusal: CalibrationRefusal | null = null;
  #finding: Finding | null = null;
  #steps: readonly FoundStep[] = [];
  #lookedAtS = 0;

  constructor(board: DeskBoard) {
    this.board = board;
  }

  get phase(): DeskPhase {
    return this.#phase;
  }

  get kind(): CalibrationKind | null {
    return this.#work?.kind ?? null;
  }

  /** 0-based. */
  get channels(): readonly number[] {
    return this.#work?.channels ?? [];
  }

  get recordedS(): number {
    return this.#recording?.lengthS ?? 0;
  }

  get refusal(): CalibrationRefusal | null {
    return this.#refusal;
  }

  get points(): readonly SpanPoint[] {
    return this.#points;
  }

  get finding(): Finding | null {
    return this.#finding;
  }

  /** All channels in still air of a known pressure, for `ZERO_RECORD_S`. */
  startZero(air: BarometricPressure): void {
    this.#start({ kind: 'zero', channels: this.#all(), ambientKpa: air.kpa, air, source: null });
    this.#record();
  }

  /** @param channels 0-based, with their hoses on one source; it ends with `finish` */
  startMatching(channels: readonly number[], ambientKpa: number): void {
    this.#start({ kind: 'matching', channels, ambientKpa, air: null, source: null });
    this.#record();
  }

  /** Waits for readings of the gauge; ends with `finish`. */
  startSpan(channels: readonly number[], ambientKpa: number, source: GaugeOnSource): void {
    this.#start({ kind: 'span', channels, ambientKpa, air: null, source });
    this.#phase = 'waiting';
  }

  /**
   * The gauge shows this now; the sensors are read for `SPAN_RECORD_S`.
   *
   * @returns false where no span waits for a reading
   */
  takeReading(referenceKpa: number, readToKpa: number): boolean {
    if (this.#phase !== 'waiting') return false;
    this.#reading = { referenceKpa, referenceUncertaintyKpa: rectangular(readToKpa) };
    this.#refusal = null;
    this.#record();
    return true;
  }

  take(timeTicks: number, counts: readonly number[]): void {
    const recording = this.#recording;
    if (this.#phase !== 'recording' || recording === null) return;
    recording.take(timeTicks, counts);
    if (this.kind === 'zero' && recording.lengthS >= ZERO_RECORD_S) this.#endZero();
    else if (this.kind === 'span' && recording.lengthS >= SPAN_RECORD_S) this.#endReading();
  }

  /** Samples are missing: three seconds of still air are counted anew, a matching goes on with a hole. */
  break(): void {
    if (this.#phase === 'recording' && this.kind !== 'matching') this.#record();
  }

  /** @returns false where there is nothing that can be finished */
  finish(): boolean {
    const work = this.#work;
    if (work?.kind === 'matching' && this.#phase === 'recording') {
      const result = matchChannels(this.#pressures());
      this.#kept.push(this.#recording!.samples());
      this.#conclude(result.ok ? { kind: 'matching', result } : this.#onBoard(result));
      return true;
    }
    if (work?.kind === 'span' && this.#phase === 'waiting') {
      const source = work.source!;
      const points = [...this.#points];
      const result = fitSpan(points, source.gauge, source.zero);
      // The readings stay: more of them may be all that is wanted.
      if (result.ok) this.#conclude({ kind: 'span', result, points, source });
      else this.#refusal = result;
      return true;
    }
    return false;
  }

  discard(): void {
    this.#phase = 'idle';
    this.#work = null;
    this.#forget();
  }

  /** Steady steps of the matching under way. */
  steps(): readonly FoundStep[] {
    const recording = this.#recording;
    if (this.kind !== 'matching' || this.#phase !== 'recording' || recording === null) return [];
    if (recording.lengthS - this.#lookedAtS >= LOOK_EVERY_S) {
      this.#lookedAtS = recording.lengthS;
      const { timeS, absoluteKpa } = this.#pressures();
      this.#steps = findPlateaus(blockMeans(timeS, absoluteKpa)).map(({ fromS, toS, meanKpa }) => ({
        lengthS: toS - fromS,
        meanKpa,
      }));
    }
    return this.#steps;
  }

  /** The board with what was found; null where nothing is proposed. */
  proposed(stamp: CalibrationStamp): BoardCalibration | null {
    const { before, types } = this.board;
    const { channels } = this;
    const finding = this.#finding;
    if (finding === null) return null;
    if (finding.kind === 'zero') return withZero(before, finding.result, stamp, channels);
    if (finding.kind === 'span') return withSpan(before, finding.result, stamp, channels);
    return withMatching(before, finding.result, types, this.#work!.ambientKpa, stamp, channels);
  }

  /** The raw counts behind the finding. */
  samples(): SampleChunk {
    return joined(this.#kept);
  }

  #all(): number[] {
    return this.board.types.map((_, channel) => channel);
  }

  #start(work: Work): void {
    this.#work = work;
    this.#forget();
  }

  #forget(): void {
    this.#recording = null;
    this.#kept = [];
    this.#points = [];
    this.#refusal = null;
    this.#finding = null;
    this.#steps = [];
  }

  #record(): void {
    this.#recording = new CalibrationRecording(this.board);
    this.#lookedAtS = 0;
    this.#phase = 'recording';
  }

  #pressures() {
    return this.#recording!.pressures(this.channels, this.#work!.ambientKpa);
  }

  #endZero(): void {
    const types = this.channels.map((channel) => this.board.types[channel]!);
    const result = zeroChannels(this.#pressures(), this.#work!.air!, types);
    this.#kept.push(this.#recording!.samples());
    this.#conclude(result.ok ? { kind: 'zero', result } : this.#onBoard(result));
  }

  #endReading(): void {
    const record = this.#pressures();
    this.#phase = 'waiting';
    const rows = Array.from({ length: record.timeS.length }, (_, row) => row).filter((row) =>
      record.absoluteKpa.every((column) => Number.isFinite(column[row]!)),
    );
    const means = rows.map(
      (row) => record.absoluteKpa.reduce((sum, column) => sum + column[row]!, 0) / this.channels.length,
    );
    const finest = Math.max(...record.resolutionKpa) / Math.sqrt(this.channels.length);
    const mean = steadyMean(means, finest);
    if (mean === null) {
      this.#refusal = refused('channel-missing', `${rows.length} whole samples`);
      return;
    }
    const blocks = blockMeans(record.timeS, record.absoluteKpa).map(({ meanKpa }) => meanKpa);
    const moved = Math.max(...blocks) - Math.min(...blocks);
    if (!(moved <= SPAN_STILL_KPA)) {
      this.#refusal = refused('match-source-drifts', `${moved.toFixed(1)} kPa while the gauge was read`);
      return;
    }
    this.#kept.push(this.#recording!.samples());
    this.#points.push({
      readingKpa: mean.meanKpa,
      readingUncertaintyKpa: Math.max(mean.standardUncertaintyKpa, LEAST_UNCERTAINTY_KPA),
      ...this.#reading!,
    });
  }

  #conclude(outcome: Finding | CalibrationRefusal): void {
    if ('ok' in outcome) {
      this.#refusal = outcome;
      this.#phase = 'refused';
      return;
    }
    this.#finding = outcome;
    this.#phase = 'proposed';
  }

  /** A refusal names the column of the record; the person counts the channels of the board. */
  #onBoard(refusal: CalibrationRefusal): CalibrationRefusal {
    return { ...refusal, channel: refusal.channel === null ? null : this.channels[refusal.channel]! };
  }
}

/** Even a noiseless digital sensor is not surer than this [kPa]. */
const LEAST_UNCERTAINTY_KPA = 1e-4;
