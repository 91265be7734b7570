/**
 * Where the crank is, and how fast it turns, from noisy pulse times of several cylinders.
 *
 * A Kalman filter (Kalman 1960; here in the form of any estimation text) with two states: the instant t [s] at
 * which the crank stood at the present phase [engine cycles], and the cycle length T [s]. Between two pulses
 * the engine's own unevenness makes t uncertain by `jitter` per cycle and T by a part of that; both are learned
 * from how wrong the forecasts were. So a quiet engine with noisy sensors is smoothed over many pulses, and an
 * uneven one with clean sensors is believed pulse by pulse, without a setting.
 */

/** Least and greatest standard deviation of a cycle's length, relative, that the filter will assume. */
const LEAST_JITTER = 0.0004;
const MOST_JITTER = 0.2;
const FIRST_JITTER = 0.012;
/** The cycle length may wander by this part of the jitter from cycle to cycle. */
const WANDER_SHARE = 0.35;
/** Memory of the jitter estimate, in pulses. */
const JITTER_PULSES = 24;
/** Forecast errors of more than this many standard deviations mean that the speed has changed. */
const SURPRISE = 3.5;
/** Relative uncertainty of the cycle length after a surprise. */
const SURPRISED_PERIOD = 0.12;
/** How much of the surprise in time is taken to go with one in cycle length, as a square of a correlation. */
const SURPRISED_TOGETHER = 0.8;
/** Relative uncertainty of the cycle length at the start, and at least after the pulses themselves changed theirs. */
const FIRST_PERIOD = 0.02;
const CHANGED_PERIOD = 0.06;
/** One pulse changes the cycle length by no more than this part. */
const LARGEST_CORRECTION = 0.3;
/** Keeps the variance of the cycle length above rounding [s²]. */
const LEAST_PERIOD_VARIANCE = 1e-18;
/** Least distance between two pulses that tells of jitter [cycles], and how many standard deviations one may show. */
const LEAST_SINCE = 0.05;
const JITTER_CLIP_SIGMAS = 3;

export class CrankClock {
  /** Engine cycles since an arbitrary origin, fractional. */
  phase: number;
  /** The instant at which the crank was at `phase` [s]. */
  timeS: number;
  /** Length of one engine cycle [s]. */
  periodS: number;
  /** Variances of time [s²] and cycle length [s²], and their covariance. */
  #tt: number;
  #tp = 0;
  #pp: number;
  #jitterVariance: number;
  /** Engine cycles since the last pulse was taken. */
  #sincePulse = 0;

  /** @param uncertaintyS standard uncertainty of `timeS` */
  constructor(phase: number, timeS: number, periodS: number, uncertaintyS: number) {
    this.phase = phase;
    this.timeS = timeS;
    this.periodS = periodS;
    this.#tt = uncertaintyS * uncertaintyS;
    this.#pp = (FIRST_PERIOD * periodS) ** 2;
    this.#jitterVariance = (FIRST_JITTER * periodS) ** 2;
  }

  /** Standard deviation of the time of the present phase, before a pulse is taken there [s]. */
  get forecastSd(): number {
    return Math.sqrt(this.#tt);
  }

  /** When the crank will be at that phase, by what is known now [s]. */
  timeOfPhase(phase: number): number {
    return this.timeS + (phase - this.phase) * this.periodS;
  }

  /** Carries the clock on to a later (or slightly earlier) phase without any new knowledge. */
  advanceTo(phase: number): void {
    const step = phase - this.phase;
    const noise = this.#jitterVariance * Math.abs(step);
    this.timeS += step * this.periodS;
    this.#tt += 2 * step * this.#tp + step * step * this.#pp + noise;
    this.#tp += step * this.#pp;
    this.#pp += WANDER_SHARE * WANDER_SHARE * noise;
    this.phase = phase;
    this.#sincePulse += Math.abs(step);
  }

  /**
   * Takes a pulse measured at the present phase.
   *
   * @param measuredS the measured instant [s]
   * @param variance of the measurement [s²]
   * @returns forecast error before the update [s]
   */
  correct(measuredS: number, variance: number): number {
    const error = measuredS - this.timeS;
    let spread = this.#tt + variance;
    if (error * error > SURPRISE * SURPRISE * spread) {
      this.#tt += error * error;
      this.#pp += (SURPRISED_PERIOD * this.periodS) ** 2;
      this.#tp += Math.sqrt(SURPRISED_TOGETHER * error * error) * SURPRISED_PERIOD * this.periodS;
      spread = this.#tt + variance;
    }
    this.#learnJitter(error, variance, spread);
    const gainTime = this.#tt / spread;
    const gainPeriod = this.#tp / spread;
    const step = gainPeriod * error;
    this.timeS += gainTime * error;
    const most = LARGEST_CORRECTION * this.periodS;
    this.periodS += Math.max(-most, Math.min(most, step));
    const tt = this.#tt;
    const tp = this.#tp;
    this.#tt = (1 - gainTime) * tt;
    this.#tp = (1 - gainTime) * tp;
    this.#pp = Math.max(LEAST_PERIOD_VARIANCE, this.#pp - gainPeriod * tp);
    this.#sincePulse = 0;
    return error;
  }

  /** The pulses themselves have become shorter or longer: the speed is another than was thought. */
  changeSpeed(ratio: number): void {
    this.periodS /= ratio;
    this.#pp = Math.max(this.#pp, (CHANGED_PERIOD * this.periodS) ** 2);
  }

  #learnJitter(error: number, variance: number, spread: number): void {
    const since = Math.max(LEAST_SINCE, this.#sincePulse);
    const seen = Math.min(error * error, JITTER_CLIP_SIGMAS ** 2 * spread);
    const sample = Math.max(0, seen - variance) / since;
    // A pulse soon after the last one tells little of the jitter of a whole cycle.
    const weight = Math.min(1, since) / JITTER_PULSES;
    const next = this.#jitterVariance + weight * (sample - this.#jitterVariance);
    const least = (LEAST_JITTER * this.periodS) ** 2;
    const most = (MOST_JITTER * this.periodS) ** 2;
    this.#jitterVariance = Math.min(most, Math.max(least, next));
  }
}
