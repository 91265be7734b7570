/**
 * Plan of a spot test: which named spot to wet or press when, in rounds. Each round holds every spot once and one
 * dummy, in an order of its own, so that nothing that drifts, and no habit of the hand, goes along with one spot. In a
 * dummy period the hand goes through the same motions without touching the intake.
 */
import { seededUniform, shuffled } from './seeded-order.ts';

export interface PlannedPress {
  /** Name of the spot; null is a dummy. */
  readonly spot: string | null;
  readonly startS: number;
  readonly endS: number;
}

export interface SpotTestPlan {
  readonly presses: readonly PlannedPress[];
  /** The engine is recorded from 0 to here. */
  readonly durationS: number;
}

export interface SpotPlanOptions {
  /** Steady idle before the first press [s]. Default 8. */
  readonly leadInS?: number;
  /** Length of a press [s]. Default 6: some fifty cycles at idle. */
  readonly pressS?: number;
  /** Rest between presses [s], default 6, lengthened by chance by up to a third. */
  readonly restS?: number;
}

export const DEFAULT_REPEATS = 3;
export const DEFAULT_PRESS_S = 6;
export const DEFAULT_REST_S = 6;
export const DEFAULT_LEAD_IN_S = 8;
/** The rests differ, so that a hunting idle cannot keep step with them. */
const REST_SPREAD = 1 / 3;

/**
 * @param spots names, all different, at least one
 * @param repeats presses of each spot, 1 or more; from three on a press that answers alone is seen as such
 * @param seed whole number; the same seed gives the same plan
 * @throws RangeError for no spot, equal names or no repeats
 */
export function spotTestPlan(
  spots: readonly string[],
  repeats: number,
  seed: number,
  options: SpotPlanOptions = {},
): SpotTestPlan {
  if (spots.length === 0 || new Set(spots).size !== spots.length)
    throw new RangeError('A spot test needs spots with names that differ');
  if (!(Number.isInteger(repeats) && repeats >= 1))
    throw new RangeError(`A spot is pressed once or more, not ${repeats} times`);
  const pressS = options.pressS ?? DEFAULT_PRESS_S;
  const restS = options.restS ?? DEFAULT_REST_S;
  const uniform = seededUniform(seed);
  const presses: PlannedPress[] = [];
  let atS = options.leadInS ?? DEFAULT_LEAD_IN_S;
  for (let round = 0; round < repeats; round++) {
    for (const spot of nextRound(spots, presses.at(-1)?.spot, uniform)) {
      presses.push({ spot, startS: atS, endS: atS + pressS });
      atS += pressS + restS * (1 + REST_SPREAD * uniform());
    }
  }
  return { presses, durationS: atS };
}

/** A round that does not begin with what the one before it ended with. */
function nextRound(
  spots: readonly string[],
  last: string | null | undefined,
  uniform: () => number,
): (string | null)[] {
  for (;;) {
    const round = shuffled<string | null>([...spots, null], uniform);
    if (round[0] !== last) return round;
  }
}
