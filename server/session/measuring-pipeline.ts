import type { IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type { Advice, Pulses } from '../contract/live.ts';
import type { Setup } from '../contract/setup.ts';
import { LostRows } from '../signal/lost-rows.ts';
import type { Reading } from '../signal/reading.ts';
import { AdviceDesk } from './advice-desk.ts';
import type { ChannelScales, MeasuringInstrument, NewInstrument, ScalesFor } from './measuring-parts.ts';
import { PulseTrace } from './pulse-trace.ts';
import { LONGEST_BRIDGED_S, passGap, type SampleGap } from './sample-gap.ts';
import { channelDelaysS, SampleIntake, type TakenSample } from './sample-intake.ts';
import { engineSetup } from './setup-change.ts';

export interface PipelineParts {
  readonly scalesFor: ScalesFor;
  readonly newInstrument: NewInstrument;
}

/** Everything that is built for one board and one engine: order of samples, pressure, reading, traces. */
export class MeasuringPipeline {
  readonly identity: IdentityLine;
  scales: ChannelScales;
  /** Absolute pressure of the newest sample, one per channel [kPa], NaN = none. */
  readonly absoluteKpa: Float64Array;
  readonly #parts: PipelineParts;
  readonly #intake: SampleIntake;
  readonly #lines = new LostRows();
  #setup: Setup;
  #instrument: MeasuringInstrument;
  #trace: PulseTrace;
  #advice: AdviceDesk;
  #toleranceKpa: number;

  constructor(identity: IdentityLine, setup: Setup, startS: number, parts: PipelineParts) {
    this.identity = identity;
    this.#parts = parts;
    this.#setup = setup;
    this.scales = parts.scalesFor(identity);
    this.absoluteKpa = new Float64Array(identity.sensorTypes.length);
    this.#intake = new SampleIntake(identity, Math.round(startS * identity.clockRateHz));
    this.#instrument = this.newInstrument(setup);
    this.#trace = new PulseTrace(this.cylinders, identity.sampleRateHz);
    this.#advice = this.#newAdvice();
    this.#toleranceKpa = setup.toleranceKpa;
  }

  /** Cylinders that are measured: those that have a channel. */
  get cylinders(): number {
    return engineSetup(this.#setup, this.identity.sensorTypes.length).cylinders;
  }

  /** Whether hardly any line of the board arrives whole: then nothing is measured. */
  get linesLost(): boolean {
    return !this.#lines.usable;
  }

  get timeS(): number {
    return this.#intake.timeTicks / this.identity.clockRateHz;
  }

  newInstrument(setup: Setup): MeasuringInstrument {
    const engine = engineSetup(setup, this.identity.sensorTypes.length);
    const delaysS = channelDelaysS(this.identity).slice(0, engine.cylinders);
    return this.#parts.newInstrument(engine, delaysS, this.scales);
  }

  /** Starts measuring afresh where the engine is another; other terms of comparison hold from now on. */
  useSetup(setup: Setup): void {
    const channels = this.identity.sensorTypes.length;
    const before = engineSetup(this.#setup, channels);
    const after = engineSetup(setup, channels);
    this.#setup = setup;
    this.#advice.useSetup(setup, after.cylinders);
    this.#toleranceKpa = setup.toleranceKpa;
    if (before.cylinders === after.cylinders && before.strokes === after.strokes) {
      this.#instrument.setTerms(after);
      return;
    }
    this.#instrument = this.newInstrument(setup);
    this.#trace = new PulseTrace(after.cylinders, this.identity.sampleRateHz);
  }

  /** The sensors are known better, or otherwise: measures afresh. */
  renewScales(): void {
    this.scales = this.#parts.scalesFor(this.identity);
    this.#instrument = this.newInstrument(this.#setup);
    this.#advice = this.#newAdvice();
  }

  /** Only where `use` is true has the sample been measured and does `absoluteKpa` belong to it. */
  take(line: SampleLine, arrivedMs: number): TakenSample {
    const fromS = this.timeS;
    const taken = this.#intake.take(line, arrivedMs);
    if (taken.order === 'restart') this.break();
    if (taken.order === 'gap') this.#gap({ fromS, toS: this.timeS, missing: taken.missing });
    if (!taken.use) return taken;
    for (let channel = 0; channel < line.counts.length; channel++) {
      this.absoluteKpa[channel] = this.scales.absoluteKpa(
        channel,
        line.counts[channel]!,
        this.#setup.barometricKpa,
      );
    }
    const timeS = taken.timeTicks / this.identity.clockRateHz;
    const measured = this.measured();
    this.#lines.push(timeS, ARRIVED);
    this.#instrument.push(timeS, measured);
    this.#trace.push(timeS, measured);
    return taken;
  }

  /** Pressure of the channels that have a cylinder. */
  measured(): Float64Array {
    return this.absoluteKpa.subarray(0, this.cylinders);
  }

  /** The link was lost or stalled. */
  interrupt(): void {
    this.#intake.break();
    this.break();
  }

  /** What comes next does not join on. */
  break(): void {
    this.#lines.forget();
    this.#instrument.breakInSamples();
    this.#advice.break();
    this.#trace.break(this.timeS);
  }

  reading(): Reading {
    return this.#instrument.reading();
  }

  /** What to turn next by a reading of this instrument; each reading is shown once. */
  advise(reading: Reading): Advice {
    const advice = this.#advice.advise(reading);
    if (advice.toleranceKpa !== this.#toleranceKpa) {
      this.#toleranceKpa = advice.toleranceKpa;
      const engine = engineSetup(this.#setup, this.identity.sensorTypes.length);
      this.#instrument.setTerms({ ...engine, toleranceKpa: advice.toleranceKpa });
    }
    return advice;
  }

  /** Traces since the last call; null where there are none. */
  pulses(): Pulses | null {
    return this.#trace.take(this.#instrument.folded());
  }

  #gap(gap: SampleGap): void {
    passGap(this.#instrument, gap, this.cylinders);
    const widthS = gap.toS - gap.fromS;
    if (widthS <= LONGEST_BRIDGED_S) this.#lines.push(gap.toS - widthS / (gap.missing + 1), LOST);
    this.#trace.break((gap.fromS + gap.toS) / 2);
  }

  #newAdvice(): AdviceDesk {
    const { differenceUncertaintyKpa } = this.scales.instrumentOptions(this.cylinders);
    return new AdviceDesk(this.#setup, this.cylinders, differenceUncertaintyKpa ?? []);
  }
}

/** Rows as `LostRows` wants them, for a line that came and for lines that did not. */
const ARRIVED = [0];
const LOST: readonly number[] = [];
