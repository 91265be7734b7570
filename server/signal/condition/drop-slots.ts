/**
 * Which of the cylinders, disabled one after another at an even pace, the drops that were seen belong to. A cylinder
 * that changes nothing leaves a hole in the rhythm: between two drops, or before the first or after the last.
 */

export interface SlotInput {
  /** When each drop began, rising [s]. */
  readonly startsS: readonly number[];
  /** Cylinders that were disabled, in this order. */
  readonly slots: number;
  /** Length of the record before the first drop began, and after the last ended [s]. */
  readonly headS: number;
  readonly tailS: number;
  /** Mean length of a drop [s]: the pace, when there is only one. */
  readonly lengthS: number;
}

/** Weight of the two ends against each interval: a person waits about as long before as after. */
const ENDS_WEIGHT = 0.5;
/** The second best must be worse than the best by this, in squared parts of the pace. */
const CLEARLY = 0.06;

/** @returns slot of each drop, 0-based; null when the rhythm does not tell */
export function dropSlots(input: SlotInput): number[] | null {
  const { startsS, slots } = input;
  const count = startsS.length;
  if (count === slots) return startsS.map((_, at) => at);
  if (count === 0 || count > slots) return null;
  const rated = choices(slots, count)
    .map((chosen) => ({ chosen, cost: costOf(chosen, input) }))
    .sort((a, b) => a.cost - b.cost);
  const [best, second] = rated;
  if (second !== undefined && second.cost - best!.cost < CLEARLY) return null;
  return best!.chosen;
}

/** Misfit of an even pace through the drops at these slots, and of the waits at both ends, in squared paces. */
function costOf(chosen: readonly number[], { startsS, slots, headS, tailS, lengthS }: SlotInput): number {
  const count = chosen.length;
  const first = chosen[0]!;
  const last = chosen[count - 1]!;
  const paceS = count > 1 ? paceOf(chosen, startsS) : 2 * lengthS;
  if (!(paceS > lengthS)) return Number.POSITIVE_INFINITY;
  const middleSlot = chosen.reduce((sum, slot) => sum + slot, 0) / count;
  const middleS = startsS.reduce((sum, startS) => sum + startS, 0) / count;
  let cost = 0;
  chosen.forEach((slot, at) => {
    cost += ((startsS[at]! - middleS) / paceS - (slot - middleSlot)) ** 2;
  });
  const leadIn = headS / paceS - first;
  // After the last drop comes its own rest, then the slots of those that changed nothing.
  const leadOut = tailS / paceS - (slots - 1 - last);
  const negative = Math.min(0, leadIn) ** 2 + Math.min(0, leadOut) ** 2;
  return cost + ENDS_WEIGHT * ((leadIn - leadOut) ** 2 / 4 + negative);
}

function paceOf(chosen: readonly number[], startsS: readonly number[]): number {
  const count = chosen.length;
  const x = chosen.reduce((sum, slot) => sum + slot, 0) / count;
  const y = startsS.reduce((sum, startS) => sum + startS, 0) / count;
  let xx = 0;
  let xy = 0;
  chosen.forEach((slot, at) => {
    xx += (slot - x) ** 2;
    xy += (slot - x) * (startsS[at]! - y);
  });
  return xy / xx;
}

/** All rising choices of `count` out of `slots`. */
function choices(slots: number, count: number, from = 0): number[][] {
  if (count === 0) return [[]];
  const out: number[][] = [];
  for (let slot = from; slot <= slots - count; slot++)
    for (const rest of choices(slots, count - 1, slot + 1)) out.push([slot, ...rest]);
  return out;
}
