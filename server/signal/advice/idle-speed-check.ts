/**
 * Idle speed against its band. Opening one throttle raises the idle and closing one lowers it: after balancing the speed
 * has to be set anew, and that is easily forgotten.
 */

export interface IdleBand {
  readonly targetRpm: number;
  /** Half-width [r/min]. */
  readonly bandRpm: number;
}

export type IdleSpeedState = 'inside' | 'high' | 'low';

export interface IdleSpeed {
  /** Null when the speed or the band is not known. */
  readonly state: IdleSpeedState | null;
  /** The reminder, or null while balancing has not moved the speed out of its band. */
  readonly sentence: string | null;
}

/** To be called outside, the speed must be further out than this [part of the band's half-width]. */
const OUT_BY = 0.1;
/** A smaller change of the speed is not put down to the screws [part]. */
const LEAST_MOVED = 0.01;
/** Length of the look back [s]. */
const WINDOW_S = 3;
const LEAST_WINDOW_PART = 0.8;
/** The two halves of the window agree so closely when the speed stands still [part]. */
const STILL_WITHIN = 0.02;

const REMINDERS: Record<IdleSpeedState, string | null> = {
  inside: null,
  high: 'Balancing has raised the idle speed: bring it back down with the idle screw.',
  low: 'Balancing has lowered the idle speed: bring it back up with the idle screw.',
};

/** The speed over the last seconds, whether the balance moves or not, and whether it stands still. */
export class SpeedWatch {
  #readings: { readonly timeS: number; readonly rpm: number }[] = [];

  /** @param speedRpm of the newest cycle, or null when the engine does not run */
  push(timeS: number, speedRpm: number | null): void {
    const last = this.#readings.at(-1);
    if (speedRpm === null || (last !== undefined && timeS < last.timeS)) this.#readings = [];
    if (speedRpm !== null) this.#readings.push({ timeS, rpm: speedRpm });
    while (this.#readings.length > 0 && this.#readings[0]!.timeS < timeS - WINDOW_S) this.#readings.shift();
  }

  /** Median over the last moments; null when the engine does not run. */
  get rpm(): number | null {
    const newest = this.#readings.at(-1)?.timeS ?? 0;
    return this.#median(newest - WINDOW_S / 2, newest);
  }

  /** The same while the speed stands still, null while it does not: after a blip an engine takes its time. */
  get steadyRpm(): number | null {
    const newest = this.#readings.at(-1)?.timeS ?? 0;
    const oldest = this.#readings[0]?.timeS ?? 0;
    if (newest - oldest < LEAST_WINDOW_PART * WINDOW_S) return null;
    const middle = newest - WINDOW_S / 2;
    const earlier = this.#median(oldest, middle)!;
    const later = this.#median(middle, newest)!;
    return Math.abs(later / earlier - 1) < STILL_WITHIN ? this.#median(oldest, newest) : null;
  }

  #median(fromS: number, toS: number): number | null {
    const sorted = this.#readings
      .filter(({ timeS }) => timeS >= fromS && timeS <= toS)
      .map(({ rpm }) => rpm)
      .sort((x, y) => x - y);
    return sorted[Math.floor(sorted.length / 2)] ?? null;
  }
}

export class IdleSpeedCheck {
  #state: IdleSpeedState | null = null;
  #rpm = 0;
  /** Speed before the first turn since it was last inside [r/min]; null while no screw was turned. */
  #beforeTurnsRpm: number | null = null;

  /**
   * @param idleRpm of the steady idle, or null when it is not steady: then what was found before stands
   * @param turnedFromRpm speed before a turn of a balance screw that has just been seen, or null
   */
  push(idleRpm: number | null, band: IdleBand | null, turnedFromRpm: number | null): void {
    if (turnedFromRpm !== null) this.#beforeTurnsRpm ??= turnedFromRpm;
    if (band === null) this.#state = null;
    if (idleRpm === null || band === null) return;
    this.#state = idleState(idleRpm, band, this.#state);
    this.#rpm = idleRpm;
    if (this.#state === 'inside') this.#beforeTurnsRpm = null;
  }

  get view(): IdleSpeed {
    return { state: this.#state, sentence: this.#reminder() };
  }

  #reminder(): string | null {
    if (this.#state === null || this.#beforeTurnsRpm === null) return null;
    const moved = this.#rpm / this.#beforeTurnsRpm - 1;
    const fits = this.#state === 'high' ? moved > LEAST_MOVED : moved < -LEAST_MOVED;
    return fits ? REMINDERS[this.#state] : null;
  }
}

function idleState(
  idleRpm: number,
  { targetRpm, bandRpm }: IdleBand,
  before: IdleSpeedState | null,
): IdleSpeedState {
  const off = idleRpm - targetRpm;
  const edge = before === 'high' || before === 'low' ? bandRpm : bandRpm * (1 + OUT_BY);
  if (off > edge) return 'high';
  return off < -edge ? 'low' : 'inside';
}
