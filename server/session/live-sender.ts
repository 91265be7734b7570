import type { Clock } from '../clock.ts';
import type { PlannedCapture } from '../contract/captures.ts';
import type { Advice, LiveMessage, Update } from '../contract/live.ts';
import type { Reading } from '../signal/reading.ts';
import type { MeasuringPipeline } from './measuring-pipeline.ts';
import { blankUpdate, updateMessage } from './update-message.ts';

export const UPDATE_MS = 40;
export const PULSES_MS = 100;

export interface LiveSenderOptions {
  readonly clock: Clock;
  readonly publish: (message: LiveMessage) => void;
  /** What is measured just now, or null while no samples come. */
  readonly measured: () => MeasuringPipeline | null;
  /** Steady clock at the arrival of the newest sample [ms]. */
  readonly newestArrivedMs: () => number;
  /** Carries on the capture that starts and ends by itself. */
  readonly plannedCapture: (reading: Reading, advice: Advice) => PlannedCapture | null;
}

/** Sends readings and traces at their pace, and blanks the screens when the samples stop. */
export class LiveSender {
  readonly #options: LiveSenderOptions;
  readonly #cancels: (() => void)[];
  #newest: Update | null = null;

  constructor(options: LiveSenderOptions) {
    this.#options = options;
    this.#cancels = [
      options.clock.every(UPDATE_MS, () => this.#sendUpdate()),
      options.clock.every(PULSES_MS, () => this.#sendPulses()),
    ];
  }

  /** For screens that connect just now. */
  get newest(): Update | null {
    return this.#newest;
  }

  /** No screen may go on showing what was measured before. */
  blank(pipeline: MeasuringPipeline): void {
    const { clock, publish } = this.#options;
    this.#newest = blankUpdate(pipeline.cylinders, pipeline.timeS, clock.wallMs());
    publish(this.#newest);
  }

  stop(): void {
    for (const cancel of this.#cancels) cancel();
  }

  #sendUpdate(): void {
    const { clock, publish, measured, newestArrivedMs } = this.#options;
    const pipeline = measured();
    if (pipeline === null) return;
    const reading = pipeline.reading();
    const advice = pipeline.advise(reading);
    const plannedCapture = this.#options.plannedCapture(reading, advice);
    const times = { sentAtMs: clock.wallMs(), lagMs: clock.nowMs() - newestArrivedMs() };
    this.#newest = { ...updateMessage(reading, advice, times), plannedCapture };
    publish(this.#newest);
  }

  #sendPulses(): void {
    const pulses = this.#options.measured()?.pulses();
    if (pulses) this.#options.publish(pulses);
  }
}
