/** The last seconds of engine cycles, for the figures that need a while: idle speed, roughness, missed pulses. */
import { MissedPulses } from './missed-pulses.ts';
import type { EngineCycle } from './paired-cycles.ts';
import type { RoughnessFigures } from './reading.ts';
import { roughnessOf } from './roughness.ts';

/** How far back the figures look [s]. */
export const IDLE_WINDOW_S = 30;
/** Hunting is looked for at most this often [s]: it costs more than the rest together. */
const ROUGHNESS_EVERY_S = 1;
/** Depth and peak are means over so many cycles. */
const SHOWN_CYCLES = 8;

interface Entry {
  readonly timeS: number;
  readonly lengthS: number;
  readonly depthsKpa: readonly (number | null)[];
  readonly lowestKpa: readonly (number | null)[];
}

export class IdleWindow {
  /** Engine cycles since the start. */
  cycles = 0;
  readonly #cylinders: number;
  readonly #revolutions: number;
  #missed: MissedPulses;
  #entries: Entry[] = [];
  #missedAtS: number[][];
  #roughness: RoughnessFigures;
  #roughnessDueS = Number.NEGATIVE_INFINITY;

  /** @param revolutions crank revolutions per engine cycle */
  constructor(cylinders: number, revolutions: number) {
    this.#cylinders = cylinders;
    this.#revolutions = revolutions;
    this.#missedAtS = Array.from({ length: cylinders }, () => []);
    this.#missed = this.#newMissed();
    this.#roughness = this.#compute();
  }

  /** What comes next may be another engine, or this one after a turn of its screws. */
  forget(): void {
    this.#entries = [];
    this.#missedAtS = this.#missedAtS.map(() => []);
    this.#missed = this.#newMissed();
    this.#roughness = this.#compute();
    this.#roughnessDueS = Number.NEGATIVE_INFINITY;
  }

  /** Speed over the newest engine cycle [r/min]. */
  get newestRpm(): number | null {
    const newest = this.#entries.at(-1);
    return newest === undefined ? null : (60 * this.#revolutions) / newest.lengthS;
  }

  push(cycle: EngineCycle, steers: (cylinder: number) => boolean): void {
    this.#missed.push(cycle);
    const lead = cycle.cycles.find((one) => one !== null && steers(one.cylinder));
    if (lead === null || lead === undefined) return;
    this.cycles++;
    this.#entries.push({
      timeS: 0.5 * (lead.startS + lead.endS),
      lengthS: lead.endS - lead.startS,
      depthsKpa: cycle.cycles.map((one) => one?.depthKpa ?? null),
      lowestKpa: cycle.cycles.map((one) => one?.lowestKpa ?? null),
    });
    const oldestS = lead.endS - IDLE_WINDOW_S;
    while (this.#entries[0]!.timeS < oldestS) this.#entries.shift();
    for (const times of this.#missedAtS) while (times.length > 0 && times[0]! < oldestS) times.shift();
    if (lead.endS >= this.#roughnessDueS) {
      this.#roughnessDueS = lead.endS + ROUGHNESS_EVERY_S;
      this.#roughness = this.#compute();
    }
  }

  /** Mean speed over the newest cycles [r/min]. */
  meanRpm(cycles: number): number | null {
    const some = this.#entries.slice(-Math.max(1, cycles));
    if (some.length === 0) return null;
    const lengthS = some.reduce((sum, one) => sum + one.lengthS, 0);
    return (60 * this.#revolutions * some.length) / lengthS;
  }

  cylinder(cylinder: number): {
    readonly depthKpa: number | null;
    readonly lowestKpa: number | null;
    readonly missedPerMinute: number | null;
  } {
    const newest = this.#entries.slice(-SHOWN_CYCLES);
    return {
      depthKpa: meanOf(newest.map((one) => one.depthsKpa[cylinder] ?? null)),
      lowestKpa: meanOf(newest.map((one) => one.lowestKpa[cylinder] ?? null)),
      missedPerMinute: this.#roughness.perCylinder[cylinder]?.missedPerMinute ?? null,
    };
  }

  roughness(running: boolean): RoughnessFigures {
    if (running) return this.#roughness;
    return {
      score: null,
      cycleLengthCovPercent: null,
      choppinessPercent: null,
      hunting: null,
      perCylinder: this.#roughness.perCylinder.map(() => ({
        depthCovPercent: null,
        missedPerMinute: null,
        lowestNormalisedCycle: null,
      })),
    };
  }

  #newMissed(): MissedPulses {
    return new MissedPulses(this.#cylinders, (missed) =>
      this.#missedAtS[missed.cylinder]!.push(missed.timeS),
    );
  }

  #compute(): RoughnessFigures {
    const entries = this.#entries;
    const observedS = entries.reduce((sum, one) => sum + one.lengthS, 0);
    return roughnessOf({
      cycleTimesS: entries.map((one) => one.timeS),
      cycleLengthsS: entries.map((one) => one.lengthS),
      revolutions: this.#revolutions,
      cylinders: Array.from({ length: this.#cylinders }, (_, cylinder) => {
        const depthsKpa = entries
          .map((one) => one.depthsKpa[cylinder] ?? null)
          .filter((depth) => depth !== null);
        const known = depthsKpa.length > entries.length / 2;
        return { depthsKpa, missed: known ? this.#missedAtS[cylinder]!.length : null, observedS };
      }),
    });
  }
}

function meanOf(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : known.reduce((sum, value) => sum + value, 0) / known.length;
}
