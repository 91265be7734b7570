/**
 * Finds intake pulses that failed to come, or came so weak that they might as well not have.
 *
 * A pulse is judged a few cycles after it came, against the median depth of those round it. When the throttle is
 * opened, every pulse becomes shallow for a while as the speed changes, and that is no missing pulse: what all cylinders
 * do for longer than a cycle, or what comes with another speed, is not counted.
 */
import { median } from './median.ts';
import type { EngineCycle } from './paired-cycles.ts';

/** A pulse shallower than this part of the usual depth is missed or weak. */
export const WEAK_BELOW = 0.55;
/** With fewer samples in a cycle its depth is a guess. */
const FEWEST_SAMPLES = 5;
/** Cycles looked at before and after the judged one. */
const CYCLES_BEFORE = 12;
const CYCLES_AFTER = 4;
/** The cycle may differ by this part from the usual length. */
const SAME_SPEED = 0.22;
/** Neither may the engine have another speed right afterwards: the throttle was opened. */
const SAME_SPEED_AFTER = 0.12;

export interface MissedPulse {
  readonly cylinder: number;
  /** When its lowest pressure was to be expected [s]. */
  readonly timeS: number;
  /** Its depth over the usual depth, 0-1. */
  readonly depthRatio: number;
}

interface Kept {
  readonly troughS: number;
  readonly lengthS: number;
  readonly depthKpa: number | null;
}

export class MissedPulses {
  readonly #cylinders: number;
  readonly #onMissed: (missed: MissedPulse) => void;
  readonly #onJudged: (cylinder: number, depthRatio: number, depthKpa: number) => void;
  #rows: Kept[][] = [];
  #judged = 0;

  /** @param onJudged called for every judged pulse with its depth over the usual one */
  constructor(
    cylinders: number,
    onMissed: (missed: MissedPulse) => void,
    onJudged: (cylinder: number, depthRatio: number, depthKpa: number) => void = () => {},
  ) {
    this.#cylinders = cylinders;
    this.#onMissed = onMissed;
    this.#onJudged = onJudged;
  }

  push(cycle: EngineCycle): void {
    this.#rows.push(
      cycle.cycles.map((one) => ({
        troughS: one?.troughS ?? 0,
        lengthS: one === null ? Number.NaN : one.endS - one.startS,
        depthKpa: one !== null && one.samples >= FEWEST_SAMPLES ? one.depthKpa : null,
      })),
    );
    if (this.#rows.length - this.#judged > CYCLES_AFTER) this.#judge(this.#judged++);
    if (this.#judged > CYCLES_BEFORE) {
      this.#rows.shift();
      this.#judged--;
    }
  }

  /** Judges the last cycles with what is known, as at the end of a recording. */
  flush(): void {
    while (this.#judged < this.#rows.length) this.#judge(this.#judged++);
    this.restart();
  }

  restart(): void {
    this.#rows = [];
    this.#judged = 0;
  }

  #judge(at: number): void {
    const row = this.#rows[at]!;
    const ratios: (number | null)[] = [];
    for (let cylinder = 0; cylinder < this.#cylinders; cylinder++) {
      const { depthKpa } = row[cylinder]!;
      const usual = this.#usual(cylinder);
      ratios.push(depthKpa !== null && usual > 0 ? depthKpa / usual : null);
    }
    const anyWeak = ratios.some((ratio) => ratio !== null && ratio < WEAK_BELOW);
    const steady = anyWeak && this.#sameSpeed(at) && !this.#throttleMoved(at);
    for (let cylinder = 0; cylinder < this.#cylinders; cylinder++) {
      const ratio = ratios[cylinder]!;
      if (ratio === null) continue;
      this.#onJudged(cylinder, ratio, row[cylinder]!.depthKpa!);
      if (ratio < WEAK_BELOW && steady) {
        this.#onMissed({ cylinder, timeS: row[cylinder]!.troughS, depthRatio: Math.max(0, ratio) });
      }
    }
  }

  /** Most cylinders are weak in this cycle and in one beside it: an opened throttle, not misses that fell together. */
  #throttleMoved(at: number): boolean {
    return this.#mostlyWeak(at) && (this.#mostlyWeak(at - 1) || this.#mostlyWeak(at + 1));
  }

  #mostlyWeak(at: number): boolean {
    const row = this.#rows[at];
    if (row === undefined) return false;
    let known = 0;
    let weak = 0;
    for (let cylinder = 0; cylinder < this.#cylinders; cylinder++) {
      const { depthKpa } = row[cylinder]!;
      const usual = this.#usual(cylinder);
      if (depthKpa === null || !(usual > 0)) continue;
      known++;
      if (depthKpa < WEAK_BELOW * usual) weak++;
    }
    return known > 1 && weak > known / 2;
  }

  #usual(cylinder: number): number {
    return this.#median((row) => row[cylinder]!.depthKpa ?? Number.NaN);
  }

  #sameSpeed(at: number): boolean {
    const usual = this.#median((row) => engineLength(row));
    const here = engineLength(this.#rows[at]!);
    if (!(Math.abs(here - usual) <= SAME_SPEED * usual)) return false;
    const after = this.#rows.slice(at + 1, at + 1 + CYCLES_AFTER).map((row) => engineLength(row));
    const before = this.#rows.slice(Math.max(0, at - CYCLES_AFTER), at).map((row) => engineLength(row));
    const later = medianOfKnown(after);
    const earlier = medianOfKnown(before);
    if (!(later > 0) || !(earlier > 0)) return true;
    return later > (1 - SAME_SPEED_AFTER) * earlier;
  }

  #median(of: (row: readonly Kept[]) => number): number {
    return medianOfKnown(this.#rows.map(of));
  }
}

function engineLength(row: readonly Kept[]): number {
  return medianOfKnown(row.map((one) => one.lengthS));
}

/** NaN when no value is known. */
function medianOfKnown(values: readonly number[]): number {
  return median(values.filter((value) => Number.isFinite(value))) ?? Number.NaN;
}
