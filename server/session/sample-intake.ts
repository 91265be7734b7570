import type { IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import { type SampleOrder, SampleSequence } from '../../firmware-protocol/sequence.ts';

export interface TakenSample {
  readonly order: SampleOrder;
  /** false for a duplicate or late sample and for one with the wrong number of channels: it is not used. */
  readonly use: boolean;
  /** Samples that were lost in front of this one. */
  readonly missing: number;
  /** Clock ticks since the session began; grows over resets and replugs of the board. */
  readonly timeTicks: number;
}

/**
 * Gives the samples of one board a time that only grows. When the board starts again its clock does too; then
 * the time that passed here stands in for the time that its clock did not count.
 */
export class SampleIntake {
  readonly #identity: IdentityLine;
  readonly #sequence: SampleSequence;
  #offsetTicks: number;
  #lastTicks: number;
  #lastArrivedMs: number | null = null;
  #began = false;

  /** @param startTicks time of the session so far, in ticks of this board's clock */
  constructor(identity: IdentityLine, startTicks: number) {
    this.#identity = identity;
    this.#sequence = new SampleSequence(identity.clockRateHz / identity.sampleRateHz);
    this.#offsetTicks = startTicks;
    this.#lastTicks = startTicks;
  }

  get timeTicks(): number {
    return this.#lastTicks;
  }

  /** @param arrivedMs steady clock when the sample came in [ms] */
  take(line: SampleLine, arrivedMs: number): TakenSample {
    const placed = this.#sequence.place(line);
    if (placed.order === 'duplicate' || placed.order === 'late') {
      return {
        order: placed.order,
        use: false,
        missing: 0,
        timeTicks: this.#lastTicks,
      };
    }
    if (placed.order === 'restart' || !this.#began) {
      this.#offsetTicks = this.#lastTicks + this.#ticksAway(arrivedMs) - placed.timeTicks;
      this.#began = true;
    }
    this.#lastTicks = placed.timeTicks + this.#offsetTicks;
    this.#lastArrivedMs = arrivedMs;
    return {
      order: placed.order,
      use: line.counts.length === this.#identity.sensorTypes.length,
      missing: placed.missing,
      timeTicks: this.#lastTicks,
    };
  }

  #ticksAway(arrivedMs: number): number {
    if (this.#lastArrivedMs === null) return 0;
    const { clockRateHz, sampleRateHz } = this.#identity;
    const away = ((arrivedMs - this.#lastArrivedMs) / 1000) * clockRateHz;
    return Math.round(Math.max(away, clockRateHz / sampleRateHz));
  }
}

/** Delay of each channel's conversion after the sample's time [s]. */
export function channelDelaysS(identity: IdentityLine): number[] {
  return identity.sensorTypes.map(
    (_, channel) => (channel * identity.conversionTicks) / identity.clockRateHz,
  );
}
