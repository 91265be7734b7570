import type { AmbientLine, IdentityLine, SampleLine } from '../../firmware-protocol/lines.ts';
import type { LinkState } from '../board/link-types.ts';
import type { BoardHealth } from '../contract/board-health.ts';
import { sentenceFor } from '../error-catalogue.ts';
import type { SampleObserver } from './measuring-parts.ts';
import type { TakenSample } from './sample-intake.ts';
import { SampleNoise } from './sample-noise.ts';

export interface BoardWatchOptions {
  readonly wallMs: () => number;
  /** Each kind of bad line, lost sample and the like since the program started. */
  readonly counters: () => Readonly<Record<string, number>>;
}

/** States of the link that are kept. */
export const MOST_LINK_STATES = 100;
/** The rate of arrival is told when so much was seen [ms]: samples come in bursts. */
const RATE_AFTER_MS = 10_000;
const INTERVALS = 1_024;
const FEWEST_INTERVALS = 32;

/** Watches the board and the way to it, so that a fault in the cable can be told from one in the engine. */
export class BoardWatch implements SampleObserver {
  readonly #options: BoardWatchOptions;
  #identity: IdentityLine | null = null;
  #noise: SampleNoise[] = [];
  #newestKpa: number[] = [];
  readonly #intervals: number[] = [];
  #lastTicks: number | null = null;
  #since: { readonly arrivedMs: number; samples: number } | null = null;
  #arrivingHz: number | null = null;
  #samples = 0;
  #temperatureCelsius: number | null = null;
  #barometerKpa: number | null = null;
  readonly #history: BoardHealth['linkHistory'] = [];

  constructor(options: BoardWatchOptions) {
    this.#options = options;
  }

  health(): BoardHealth {
    const identity = this.#identity;
    const counters = this.#options.counters();
    return {
      boardId: identity?.boardId ?? null,
      firmwareVersion: identity?.firmwareVersion ?? null,
      sampleRateHz: identity?.sampleRateHz ?? null,
      arrivingHz: this.#arrivingHz,
      jitterUs: this.#jitterUs(),
      channels: (identity?.sensorTypes ?? []).map((sensorType, channel) => ({
        channel: channel + 1,
        sensorType,
        noiseKpa: this.#noise[channel]?.sd() ?? null,
        newestKpa: finite(this.#newestKpa[channel]),
      })),
      samples: this.#samples,
      lostSamples: counters['lost-samples'] ?? 0,
      temperatureCelsius: this.#temperatureCelsius,
      barometerKpa: this.#barometerKpa,
      counters: { ...counters },
      linkHistory: [...this.#history],
    };
  }

  onBoard(identity: IdentityLine): void {
    this.#identity = identity;
    this.#noise = identity.sensorTypes.map(() => new SampleNoise());
    this.#newestKpa = [];
    this.#intervals.length = 0;
    this.#lastTicks = null;
    this.#since = null;
    this.#arrivingHz = null;
    this.#temperatureCelsius = null;
    this.#barometerKpa = null;
  }

  onSample(_line: SampleLine, taken: TakenSample, absoluteKpa: ArrayLike<number>, arrivedMs: number): void {
    this.#samples++;
    const joins = taken.order === 'next' && this.#lastTicks !== null;
    if (joins) this.#interval(taken.timeTicks - this.#lastTicks!);
    this.#lastTicks = taken.timeTicks;
    for (const [channel, noise] of this.#noise.entries()) {
      if (!joins) noise.break();
      noise.push(absoluteKpa[channel]!);
      this.#newestKpa[channel] = absoluteKpa[channel]!;
    }
    this.#since ??= { arrivedMs, samples: 0 };
    this.#since.samples++;
    const passedMs = arrivedMs - this.#since.arrivedMs;
    if (passedMs < RATE_AFTER_MS) return;
    this.#arrivingHz = (1000 * (this.#since.samples - 1)) / passedMs;
    this.#since = { arrivedMs, samples: 1 };
  }

  onAmbient({ pressurePa, temperatureCelsius }: AmbientLine): void {
    if (pressurePa !== null) this.#barometerKpa = pressurePa / 1000;
    if (temperatureCelsius !== null) this.#temperatureCelsius = temperatureCelsius;
  }

  onBreak(): void {
    this.#lastTicks = null;
    this.#since = null;
    this.#arrivingHz = null;
    this.#newestKpa = [];
    for (const noise of this.#noise) noise.break();
  }

  onLinkState({ phase, errorCode }: LinkState): void {
    const sentence = errorCode === null ? '' : sentenceFor(errorCode);
    const newest = this.#history[0];
    // While it tries again it opens and is lost by turns: that is told once.
    if (newest?.phase === phase && newest.sentence === sentence) return;
    if (phase === 'opening' && sentence !== '') return;
    this.#history.unshift({ atMs: this.#options.wallMs(), phase, sentence });
    this.#history.length = Math.min(this.#history.length, MOST_LINK_STATES);
  }

  #interval(ticks: number): void {
    this.#intervals.push(ticks);
    if (this.#intervals.length > INTERVALS) this.#intervals.shift();
  }

  #jitterUs(): number | null {
    const { length } = this.#intervals;
    if (this.#identity === null || length < FEWEST_INTERVALS) return null;
    const mean = this.#intervals.reduce((sum, ticks) => sum + ticks, 0) / length;
    const variance = this.#intervals.reduce((sum, ticks) => sum + (ticks - mean) ** 2, 0) / (length - 1);
    return (1e6 * Math.sqrt(variance)) / this.#identity.clockRateHz;
  }
}

function finite(value: number | undefined): number | null {
  return value !== undefined && Number.isFinite(value) ? value : null;
}
