import type { IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import { type SampleOrder, SampleSequence } from '../../firmware-protocol/sequence.ts';

/** The board's clock may run ahead of the time that passed here by this much before it is not believed [s] … */
const AHEAD_S = 2;
/** … and by this share: samples come in bursts and cheap clocks drift. */
const AHEAD_SHARE = 0.05;

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
  #sequence: SampleSequence;
  #offsetTicks: number;
  #lastTicks: number;
  #lastArrivedMs: number | null = null;
  #began = false;
  #interrupted = false;

  /** @param startTicks time of the session so far, in ticks of this board's clock */
  constructor(identity: IdentityLine, startTicks: number) {
    this.#identity = identity;
    this.#sequence = newSequence(identity);
    this.#offsetTicks = startTicks;
    this.#lastTicks = startTicks;
  }

  get timeTicks(): number {
    return this.#lastTicks;
  }

  /** The link was lost or stalled: what comes next may be a board that began anew. */
  break(): void {
    this.#interrupted = true;
  }

  /** @param arrivedMs steady clock when the sample came in [ms] */
  take(line: SampleLine, arrivedMs: number): TakenSample {
    let placed = this.#sequence.place(line);
    let restarted = placed.order === 'restart' || this.#farAhead(placed.timeTicks, arrivedMs);
    if (placed.order === 'duplicate' || placed.order === 'late') {
      if (!this.#interrupted) {
        return { order: placed.order, use: false, missing: 0, timeTicks: this.#lastTicks };
      }
      this.#sequence = newSequence(this.#identity);
      placed = this.#sequence.place(line);
      restarted = true;
    }
    this.#interrupted = false;
    if (restarted || !this.#began) {
      this.#offsetTicks = this.#lastTicks + this.#ticksAway(arrivedMs) - placed.timeTicks;
      this.#began = true;
    }
    this.#lastTicks = placed.timeTicks + this.#offsetTicks;
    this.#lastArrivedMs = arrivedMs;
    return {
      order: restarted ? 'restart' : placed.order,
      use: line.counts.length === this.#identity.sensorTypes.length,
      missing: restarted ? 0 : placed.missing,
      timeTicks: this.#lastTicks,
    };
  }

  /** A board that began anew can look as if its clock had gone all the way round; the time here tells. */
  #farAhead(placedTicks: number, arrivedMs: number): boolean {
    if (this.#lastArrivedMs === null || !this.#began) return false;
    const { clockRateHz } = this.#identity;
    const boardS = (placedTicks + this.#offsetTicks - this.#lastTicks) / clockRateHz;
    const hereS = (arrivedMs - this.#lastArrivedMs) / 1000;
    return boardS > AHEAD_S + hereS * (1 + AHEAD_SHARE);
  }

  #ticksAway(arrivedMs: number): number {
    if (this.#lastArrivedMs === null) return 0;
    const { clockRateHz, sampleRateHz } = this.#identity;
    const away = ((arrivedMs - this.#lastArrivedMs) / 1000) * clockRateHz;
    return Math.round(Math.max(away, clockRateHz / sampleRateHz));
  }
}

function newSequence(identity: IdentityLine): SampleSequence {
  return new SampleSequence(identity.clockRateHz / identity.sampleRateHz);
}

/** Delay of each channel's conversion after the sample's time [s]. */
export function channelDelaysS(identity: IdentityLine): number[] {
  return identity.sensorTypes.map(
    (_, channel) => (channel * identity.conversionTicks) / identity.clockRateHz,
  );
}
