/**
 * Finds the single-sample spikes that ignition noise puts on a sensor line, whatever the shape of the pulse.
 *
 * A spike is a sample that stands off the straight line between its neighbours far more than the samples of
 * this channel otherwise do. 'Otherwise' is a running high quantile of that distance, moved by the stochastic
 * approximation of Robbins and Monro (1951), so that the sharp foot of a real pulse, which comes back every
 * cycle, raises the bar for itself.
 */

/** The quantile of the distances that sets the bar. */
const QUANTILE = 0.97;
/** Relative step of the quantile per sample. */
const STEP = 0.05;
/** A spike stands this many times further off than the quantile. */
const FACTOR = 4;
/** Distances below this are never a spike [kPa]. */
const LEAST_KPA = 0.6;
const FIRST_QUANTILE_KPA = 4;

export class SpikeGuard {
  #quantileKpa = FIRST_QUANTILE_KPA;
  #lastWasSpike = false;

  restart(): void {
    this.#lastWasSpike = false;
  }

  /** @returns the middle value, or the mean of its neighbours when it is a spike; NaN passes through */
  mend(before: number, middle: number, after: number): number {
    const between = 0.5 * (before + after);
    const distance = Math.abs(middle - between);
    if (!(distance >= 0)) return middle;
    const bar = FACTOR * this.#quantileKpa + LEAST_KPA;
    if (distance > this.#quantileKpa) this.#quantileKpa *= 1 + STEP * QUANTILE;
    else this.#quantileKpa = Math.max(0.01, this.#quantileKpa * (1 - STEP * (1 - QUANTILE)));
    // Two in a row are no single-sample spike: a step, or a pulse that the sampling barely sees.
    const spike = distance > bar && !this.#lastWasSpike && Math.abs(after - before) < distance;
    this.#lastWasSpike = spike;
    return spike ? between : middle;
  }
}
