import type { IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type { CaptureLabel, CaptureSummary } from '../contract/captures.ts';
import type { Setup } from '../contract/setup.ts';
import type { CaptureFigures, CaptureStore } from '../jobs/capture-store.ts';
import type { Reading } from '../signal/reading.ts';
import type { ChannelScales, MeasuringInstrument } from './measuring-parts.ts';
import { passGap } from './sample-gap.ts';
import { channelDelaysS } from './sample-intake.ts';

/** A dead battery costs at most this much of a capture [s]. */
export const CHUNK_S = 0.5;

/** The count that stands for one that did not arrive. */
export const MISSING_COUNT = -1;

export interface CaptureStart {
  readonly store: CaptureStore;
  readonly label: CaptureLabel;
  readonly identity: IdentityLine;
  readonly scales: ChannelScales;
  readonly setup: Setup;
  readonly practice: boolean;
  readonly sourceAddress: string;
  readonly startedAtMs: number;
  readonly softwareVersion: string;
  readonly visitId: string | null;
  /** Fresh, so that the figures come from the samples of the capture alone. */
  readonly instrument: MeasuringInstrument;
}

/** One running capture: writes the raw counts down in short chunks and measures them by itself. */
export class Capture {
  readonly id: string;
  readonly boardId: string;
  readonly practice: boolean;
  readonly #start: CaptureStart;
  readonly #chunkTicks: number;
  #timeTicks: number[] = [];
  #counts: number[][];
  #samples = 0;
  #firstTicks: number | null = null;
  #lastTicks = 0;

  /** @throws whatever the store throws when it cannot write */
  constructor(start: CaptureStart) {
    const { identity } = start;
    this.#start = start;
    this.boardId = identity.boardId;
    this.practice = start.practice;
    this.#chunkTicks = CHUNK_S * identity.clockRateHz;
    this.#counts = identity.sensorTypes.map(() => []);
    this.id = start.store.begin({
      label: start.label,
      practice: start.practice,
      sourceAddress: start.sourceAddress,
      startedAtMs: start.startedAtMs,
      boardId: identity.boardId,
      firmwareVersion: identity.firmwareVersion,
      sensorTypes: identity.sensorTypes,
      fullScaleCounts: identity.fullScaleCounts,
      sampleRateHz: identity.sampleRateHz,
      clockRateHz: identity.clockRateHz,
      channelDelaysS: channelDelaysS(identity),
      setup: start.setup,
      calibration: start.scales.record,
      softwareVersion: start.softwareVersion,
      visitId: start.visitId,
    });
  }

  /**
   * @param missing samples that did not arrive in front of this one
   * @throws whatever the store throws when it cannot write
   */
  take(line: SampleLine, timeTicks: number, absoluteKpa: ArrayLike<number>, missing = 0): void {
    const { clockRateHz } = this.#start.identity;
    if (missing > 0 && this.#firstTicks !== null) {
      const gap = { fromS: this.#lastTicks / clockRateHz, toS: timeTicks / clockRateHz, missing };
      passGap(this.#start.instrument, gap, absoluteKpa.length);
    }
    this.#firstTicks ??= timeTicks;
    if (this.#timeTicks.length > 0 && timeTicks - this.#timeTicks[0]! >= this.#chunkTicks) this.flush();
    this.#timeTicks.push(timeTicks);
    for (let channel = 0; channel < this.#counts.length; channel++) {
      this.#counts[channel]!.push(line.counts[channel] ?? MISSING_COUNT);
    }
    this.#samples++;
    this.#lastTicks = timeTicks;
    this.#start.instrument.push(timeTicks / clockRateHz, absoluteKpa);
  }

  /** The cable was pulled or samples were lost: what comes next does not join on. What there is is made safe. */
  break(): void {
    this.flush();
    this.#start.instrument.breakInSamples();
  }

  /** Puts on disk what has been gathered. */
  flush(): void {
    if (this.#timeTicks.length === 0) return;
    this.#start.store.append(this.id, {
      timeTicks: this.#timeTicks,
      counts: this.#counts,
    });
    this.#timeTicks = [];
    this.#counts = this.#counts.map(() => []);
  }

  complete(): CaptureSummary {
    this.flush();
    return this.#start.store.complete(this.id, this.figures());
  }

  interrupt(): CaptureSummary {
    this.flush();
    return this.#start.store.interrupt(this.id, this.figures());
  }

  figures(): CaptureFigures {
    return captureFigures(this.#start.instrument.reading());
  }

  /** As it stands while it runs, for lists. */
  summary(): CaptureSummary {
    const { identity, label, practice, sourceAddress, startedAtMs, setup, softwareVersion } = this.#start;
    const figures = this.figures();
    return {
      id: this.id,
      label,
      state: 'recording',
      practice,
      sourceAddress,
      startedAtMs,
      durationS: this.#firstTicks === null ? 0 : (this.#lastTicks - this.#firstTicks) / identity.clockRateHz,
      samples: this.#samples,
      cylinders: Math.min(setup.cylinders, identity.sensorTypes.length),
      spreadKpa: figures.spreadKpa,
      spreadExpandedKpa: figures.spreadExpandedKpa,
      gapsKpa: [...figures.gapsKpa],
      idleRpm: figures.idleRpm,
      roughnessScore: figures.roughnessScore,
      softwareVersion,
      ...(setup.conditions === undefined || setup.conditions === '' ? {} : { conditions: setup.conditions }),
    };
  }
}

export function captureFigures(reading: Reading): CaptureFigures {
  return {
    spreadKpa: reading.spreadKpa,
    spreadExpandedKpa: reading.spreadExpandedKpa,
    gapsKpa: reading.cylinders.map((cylinder) => cylinder.gapKpa),
    idleRpm: reading.engine.idleRpm,
    roughnessScore: reading.roughness.score,
    cylinders: reading.cylinders.map((cylinder) => ({
      vacuumKpa: cylinder.vacuumKpa,
      vacuumStandardErrorKpa: cylinder.vacuumStandardErrorKpa,
      vacuumSdKpa: cylinder.vacuumSdKpa,
      vacuumExpandedKpa: cylinder.vacuumExpandedKpa,
      cycles: cylinder.cycles,
    })),
  };
}
