import type { BadLineReason } from '../../../firmware-protocol/lines.ts';
import { BAD_LINE_REASONS } from '../../../firmware-protocol/lines.ts';

/** How many lines were refused for each reason. */
export type BadLineCounts = Readonly<Record<BadLineReason, number>>;

/** Counts refused lines, one counter for each reason, so that nothing from the cable vanishes unseen. */
export class BadLineCounters {
  readonly #counts = new Map<BadLineReason, number>();

  /** @throws RangeError for a reason that has no counter */
  count(reason: BadLineReason): void {
    if (!BAD_LINE_REASONS.includes(reason)) throw new RangeError(`No counter for '${reason}'`);
    this.#counts.set(reason, (this.#counts.get(reason) ?? 0) + 1);
  }

  total(): number {
    let total = 0;
    for (const count of this.#counts.values()) total += count;
    return total;
  }

  /** A copy; reasons that have not happened stand at 0. */
  snapshot(): BadLineCounts {
    const entries = BAD_LINE_REASONS.map((reason) => [reason, this.#counts.get(reason) ?? 0] as const);
    return Object.fromEntries(entries) as BadLineCounts;
  }
}
