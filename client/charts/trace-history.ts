import type { Pulses } from '../../server/contract/live.ts';
import { type Cell, HistoryColumns } from './history-columns.ts';

/** Time that the traces show [s]: several engine cycles at idle. */
export const TRACE_S = 3;
/** As many points a second as the program sends, with room to spare. */
const MOST_POINTS = 300 * TRACE_S;
/** A step in time longer than this is a gap in the lines [s]. */
const GAP_S = 0.25;

/** The raw traces of the last seconds, as columns: time [s], then the vacuum of each cylinder [kPa]. */
export class TraceHistory {
  readonly #columns: HistoryColumns;
  readonly #cylinders: number;

  /** @throws RangeError for less than one cylinder */
  constructor(cylinders: number) {
    this.#cylinders = cylinders;
    this.#columns = new HistoryColumns(cylinders, MOST_POINTS);
  }

  get newestS(): number | null {
    return this.#columns.newestS;
  }

  get columns(): readonly (readonly Cell[])[] {
    return this.#columns.columns;
  }

  /** @param barometricKpa pressure of the air that the vacuum is counted from, absolute */
  take({ timeS, absoluteKpa }: Pulses, barometricKpa: number): void {
    for (const [point, at] of timeS.entries()) {
      const newest = this.#columns.newestS;
      if (newest !== null && at - newest > GAP_S) this.#columns.break();
      this.#columns.push(
        at,
        Array.from({ length: this.#cylinders }, (_, cyl) => {
          const kpa = absoluteKpa[cyl]?.[point] ?? null;
          return kpa === null ? null : barometricKpa - kpa;
        }),
      );
    }
  }

  /** Ends every line here: the readings have stopped. */
  break(): void {
    this.#columns.break();
  }

  /** Largest vacuum that is shown [kPa], or null. */
  highestKpa(): number | null {
    let most: number | null = null;
    for (let cyl = 1; cyl <= this.#cylinders; cyl++) {
      for (const kpa of this.#columns.columns[cyl]!) {
        if (kpa !== null && (most === null || kpa > most)) most = kpa;
      }
    }
    return most;
  }
}
