export type Cell = number | null;

/**
 * The last moments of several series as columns for the chart: a column of times and one per series, oldest first,
 * `null` where nothing is known. The arrays are made once and moved along in place.
 */
export class HistoryColumns {
  readonly #capacity: number;
  readonly #columns: Cell[][];

  /**
   * @param series number of columns beside that of the time
   * @param capacity rows kept
   * @throws RangeError for less than one of either
   */
  constructor(series: number, capacity: number) {
    if (!(series >= 1 && capacity >= 1))
      throw new RangeError(`${series} series of ${capacity} rows cannot be kept`);
    this.#capacity = capacity;
    this.#columns = Array.from({ length: series + 1 }, () => []);
  }

  get rows(): number {
    return this.#columns[0]!.length;
  }

  get newestS(): number | null {
    return this.#columns[0]!.at(-1) ?? null;
  }

  /** The arrays themselves, time first. They change with the next `push`. */
  get columns(): readonly (readonly Cell[])[] {
    return this.#columns;
  }

  /**
   * Adds a row. Time that goes back (the board was started again) begins anew.
   * @throws RangeError when there is not one value per series
   */
  push(timeS: number, values: readonly Cell[]): void {
    if (values.length !== this.#columns.length - 1) {
      throw new RangeError(`Expected ${this.#columns.length - 1} values, not ${values.length}`);
    }
    const newest = this.newestS;
    if (newest !== null && timeS <= newest) this.clear();
    this.#put(0, timeS);
    for (let series = 0; series < values.length; series++) this.#put(series + 1, values[series]!);
  }

  /** Ends every line here: a row of nothing, a moment after the last. */
  break(): void {
    const newest = this.newestS;
    if (newest === null) return;
    const last = this.rows - 1;
    if (this.#columns.every((column, index) => index === 0 || column[last] === null)) return;
    this.push(newest + 1e-3, new Array<Cell>(this.#columns.length - 1).fill(null));
  }

  clear(): void {
    for (const column of this.#columns) column.length = 0;
  }

  #put(index: number, value: Cell): void {
    const column = this.#columns[index]!;
    // `copyWithin` moves every element one by one; `shift` only moves the start.
    if (column.length >= this.#capacity) column.shift();
    column.push(value);
  }
}
