/**
 * Sets that are balanced at two points: at idle the throttles rest on their stop screws, at a raised speed they hang on
 * their cables. Each point has its own speeds, its own tolerance and its own adjusters; what is set at one is
 * looked at again at the other.
 */
import type { BalancePointId, Linkage } from './linkage.ts';

export interface BalancePoint {
  readonly id: BalancePointId;
  /** Speeds at which the set counts as being at this point [r/min]. */
  readonly fromRpm: number;
  readonly toRpm: number;
  /** Half-width of the band around the reference [kPa]. */
  readonly toleranceKpa: number;
  /** Indices in the linkage of the screws that work here. */
  readonly screws: readonly number[];
}

export interface PointTerms {
  readonly toleranceKpa: number;
  /** Tolerance at the raised speed [kPa], or null for the same. */
  readonly raisedToleranceKpa: number | null;
  /** Idle speed of the engine, or null when it is not known. */
  readonly idleTargetRpm: number | null;
  /** Raised speed to be held [r/min], or null for any well above idle. */
  readonly raisedTargetRpm?: number | null;
}

/** Taken for an engine of which none is known [r/min]; common practice, no source. */
export const USUAL_IDLE_RPM = 1100;
/** Up to this many times the idle speed the throttles rest on their stops. */
export const IDLE_UP_TO = 1.5;
/** From this many times the idle speed on they hang on the cables. */
export const RAISED_FROM = 1.8;
export const RAISED_UP_TO = 4.5;
/** A raised speed that was named is met within this part: nobody holds a throttle better for long. */
const RAISED_WITHIN = 0.25;
/** The speed may leave a point's range by so much without leaving the point. */
const STAYS_WITHIN = 0.05;

/** One point for a set with idle screws only, two for one with cables as well. */
export function balancePoints(linkage: Linkage, terms: PointTerms): BalancePoint[] {
  const idleRpm = terms.idleTargetRpm ?? USUAL_IDLE_RPM;
  const at = (id: BalancePointId) =>
    linkage.screws.flatMap((screw, index) => (screw.point === id ? [index] : []));
  const idle: BalancePoint = {
    id: 'idle',
    fromRpm: 0,
    // Where neither is known, any speed may be the idle speed.
    toRpm:
      terms.idleTargetRpm === null && at('raised').length === 0
        ? Number.POSITIVE_INFINITY
        : IDLE_UP_TO * idleRpm,
    toleranceKpa: terms.toleranceKpa,
    screws: at('idle'),
  };
  const target = terms.raisedTargetRpm ?? null;
  const raised: BalancePoint = {
    id: 'raised',
    fromRpm: target === null ? RAISED_FROM * idleRpm : (1 - RAISED_WITHIN) * target,
    toRpm: target === null ? RAISED_UP_TO * idleRpm : (1 + RAISED_WITHIN) * target,
    toleranceKpa: terms.raisedToleranceKpa ?? terms.toleranceKpa,
    screws: at('raised'),
  };
  return [idle, raised].filter(({ screws }) => screws.length > 0);
}

/**
 * The point at which the engine runs, or null between them.
 *
 * @param present the point at which it was until now
 */
export function pointAt(
  points: readonly BalancePoint[],
  rpm: number | null,
  present: BalancePointId | null,
): BalancePoint | null {
  if (rpm === null) return null;
  const within = ({ id, fromRpm, toRpm }: BalancePoint) => {
    const slack = id === present ? STAYS_WITHIN : 0;
    return rpm >= fromRpm * (1 - slack) && rpm <= toRpm * (1 + slack);
  };
  return points.find(within) ?? null;
}

export const GO_RAISED_SENTENCE = 'Equal at idle: now hold a raised, steady speed to look at the cables.';
export const GO_IDLE_SENTENCE = 'Equal at the raised speed: let it come back to idle and look once more.';

/** Remembers which point was equal after which move. */
export class TwoPoints {
  readonly #equal: Record<BalancePointId, boolean> = { idle: false, raised: false };
  readonly #points: readonly BalancePointId[];

  constructor(points: readonly BalancePoint[]) {
    this.#points = points.map(({ id }) => id);
  }

  /** A cable that was set may hold a throttle off its stop, so idle is looked at again; a stop moves no cable. */
  moved(at: BalancePointId): void {
    this.#equal[at] = false;
    if (at === 'raised') this.#equal.idle = false;
  }

  isEqual(at: BalancePointId): boolean {
    return this.#equal[at];
  }

  found(at: BalancePointId, equal: boolean): void {
    this.#equal[at] = equal;
  }

  /** Where to go from a point that is equal, or null when all is done. */
  next(at: BalancePointId): BalancePointId | null {
    return this.#points.find((id) => id !== at && !this.#equal[id]) ?? null;
  }
}
