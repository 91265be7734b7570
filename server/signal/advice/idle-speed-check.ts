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
/** Time constant of the average [s]. */
const AVERAGE_S = 1.5;
/** A gap between readings longer than this starts the average anew [s]. */
const NEW_AFTER_S = 3;

const REMINDERS: Record<IdleSpeedState, string | null> = {
  inside: null,
  high: 'Balancing has raised the idle speed: bring it back down with the idle screw.',
  low: 'Balancing has lowered the idle speed: bring it back up with the idle screw.',
};

/** Average of the speed over the last seconds, whether the balance moves or not. */
export class SpeedAverage {
  #rpm: number | null = null;
  #timeS = Number.NEGATIVE_INFINITY;

  /** @param speedRpm of the newest cycle, or null when the engine does not run */
  push(timeS: number, speedRpm: number | null): void {
    const passedS = timeS - this.#timeS;
    this.#timeS = timeS;
    if (speedRpm === null) this.#rpm = null;
    else if (this.#rpm === null || !(passedS >= 0 && passedS < NEW_AFTER_S)) this.#rpm = speedRpm;
    else this.#rpm += (speedRpm - this.#rpm) * (1 - Math.exp(-passedS / AVERAGE_S));
  }

  get rpm(): number | null {
    return this.#rpm;
  }
}

export class IdleSpeedCheck {
  #state: IdleSpeedState | null = null;
  #rpm = 0;
  /** Speed before the first turn since it was last inside [r/min]; null while no screw was turned. */
  #beforeTurnsRpm: number | null = null;

  /**
   * @param idleRpm of the steady idle, or null when it is not known
   * @param turnedFromRpm speed before a turn of a balance screw that has just been seen, or null
   */
  push(idleRpm: number | null, band: IdleBand | null, turnedFromRpm: number | null): void {
    if (turnedFromRpm !== null) this.#beforeTurnsRpm ??= turnedFromRpm;
    this.#state = idleRpm === null || band === null ? null : idleState(idleRpm, band, this.#state);
    this.#rpm = idleRpm ?? 0;
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
