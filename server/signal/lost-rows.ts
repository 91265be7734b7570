/**
 * Watches how many rows of samples arrive without a single value. A few are bridged; where hardly any arrives, what is
 * left of a pulse can look like a pulse of another length, and its mean like another vacuum. Then nothing is measured
 * until most rows come in again.
 */

/** Time over which the lost part is averaged, exponentially [s]. A hole of 0.25 s alone stays below the first bound. */
const AVERAGED_OVER_S = 0.25;
/** Nothing is measured from this lost part on ... */
const TOO_MANY_LOST = 0.75;
/** ... until it is below this one. */
const FEW_LOST = 0.35;

export class LostRows {
  #lost = 0;
  #newestS = Number.NEGATIVE_INFINITY;
  #usable = true;

  /** Whether the rows can be measured. */
  get usable(): boolean {
    return this.#usable;
  }

  /** @returns the same as `usable`, with this row taken in */
  push(timeS: number, row: ArrayLike<number>): boolean {
    const passedS = Math.min(AVERAGED_OVER_S, timeS - this.#newestS);
    if (!(passedS > 0)) return this.#usable;
    this.#newestS = timeS;
    const weight = 1 - Math.exp(-passedS / AVERAGED_OVER_S);
    this.#lost += weight * ((isEmpty(row) ? 1 : 0) - this.#lost);
    if (this.#usable ? this.#lost > TOO_MANY_LOST : this.#lost < FEW_LOST) this.#usable = !this.#usable;
    return this.#usable;
  }

  /** What comes next does not join on to what came before. */
  forget(): void {
    this.#lost = 0;
    this.#newestS = Number.NEGATIVE_INFINITY;
    this.#usable = true;
  }
}

function isEmpty(row: ArrayLike<number>): boolean {
  for (let channel = 0; channel < row.length; channel++) if (Number.isFinite(row[channel])) return false;
  return true;
}
