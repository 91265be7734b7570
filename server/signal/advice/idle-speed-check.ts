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
  /** Screws were turned since the speed was last inside. */
  #turned = false;

  /** @param turned whether a balance screw was turned since the last call */
  push(idleRpm: number | null, band: IdleBand | null, turned: boolean): void {
    this.#state = idleRpm === null || band === null ? null : idleState(idleRpm, band, this.#state);
    this.#turned ||= turned;
    if (this.#state === 'inside' && !turned) this.#turned = false;
  }

  get view(): IdleSpeed {
    const sentence = this.#state === null || !this.#turned ? null : REMINDERS[this.#state];
    return { state: this.#state, sentence };
  }
}

function idleState(idleRpm: number, { targetRpm, bandRpm }: IdleBand, before: IdleSpeedState | null): IdleSpeedState {
  const off = idleRpm - targetRpm;
  const edge = before === 'high' || before === 'low' ? bandRpm : bandRpm * (1 + OUT_BY);
  if (off > edge) return 'high';
  return off < -edge ? 'low' : 'inside';
}
