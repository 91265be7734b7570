import type { Setup } from '../contract/setup.ts';
import type { CaptureFigures, CaptureHeader, SampleChunk } from '../jobs/capture-store.ts';
import { captureFigures } from './capture.ts';
import { channelScalesOf, type ScalesRecord } from './channel-scales.ts';
import type { MeasuringInstrument, NewInstrument } from './measuring-parts.ts';
import { newInstrument } from './new-instrument.ts';
import { passGap } from './sample-gap.ts';
import { engineSetup } from './setup-change.ts';

/** A step of more than this many sample intervals means that samples did not arrive. */
const HOLE_INTERVALS = 1.5;

/** Computes a capture's figures again from its raw samples, as they were computed while it ran. */
export class CaptureRecomputation {
  readonly #header: CaptureHeader;
  readonly #setup: Setup;
  readonly #cylinders: number;
  readonly #scales: ReturnType<typeof channelScalesOf>;
  readonly #instrument: MeasuringInstrument;
  readonly #row: Float64Array;
  #lastS: number | null = null;

  constructor(header: CaptureHeader, newInstrument: NewInstrument) {
    this.#header = header;
    this.#setup = header.setup as Setup;
    this.#scales = channelScalesOf(header.calibration as ScalesRecord);
    const engine = engineSetup(this.#setup, header.sensorTypes.length);
    this.#cylinders = engine.cylinders;
    this.#instrument = newInstrument(engine, header.channelDelaysS.slice(0, engine.cylinders), this.#scales);
    this.#row = new Float64Array(engine.cylinders);
  }

  /** Chunks in the order of time. */
  push(chunk: SampleChunk): void {
    const intervalS = 1 / this.#header.sampleRateHz;
    for (let at = 0; at < chunk.timeTicks.length; at++) {
      const timeS = chunk.timeTicks[at]! / this.#header.clockRateHz;
      if (this.#lastS !== null && timeS - this.#lastS > HOLE_INTERVALS * intervalS) {
        const missing = Math.round((timeS - this.#lastS) / intervalS) - 1;
        passGap(this.#instrument, { fromS: this.#lastS, toS: timeS, missing }, this.#cylinders);
      }
      for (let channel = 0; channel < this.#cylinders; channel++) {
        this.#row[channel] = this.#scales.absoluteKpa(
          channel,
          chunk.counts[channel]![at]!,
          this.#setup.barometricKpa,
        );
      }
      this.#instrument.push(timeS, this.#row);
      this.#lastS = timeS;
    }
  }

  figures(): CaptureFigures {
    return captureFigures(this.#instrument.reading());
  }
}

/** Chunks between two pauses: an hour's capture must not hold up the live reading. */
const CHUNKS_PER_TURN = 20;

/**
 * The figures of a whole capture from its raw samples.
 *
 * @param pause lets everything else have its turn; false ends the work
 * @returns null where the work was ended
 */
export async function recomputedFigures(
  header: CaptureHeader,
  chunks: Iterable<SampleChunk>,
  pause: () => Promise<boolean>,
): Promise<CaptureFigures | null> {
  const recomputation = new CaptureRecomputation(header, newInstrument);
  let taken = 0;
  for (const chunk of chunks) {
    recomputation.push(chunk);
    if (++taken % CHUNKS_PER_TURN === 0 && !(await pause())) return null;
  }
  return recomputation.figures();
}
