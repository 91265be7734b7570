/** What a move teaches: which screw it was, and what that screw does. */
import { norm } from './gaussian.ts';
import { type Asked, type Attribution, attributeMove } from './move-attribution.ts';
import type { Move } from './move-detector.ts';
import { learnedEffect, type ScrewEffect, unitLengthKpa, withoutUnit } from './screw-effects.ts';

/** A screw that has perhaps been turned has lost its unit. */
const PERHAPS_TURNED = 0.05;
/** Less than this part of what was asked is hardly that turn. */
const LEAST_OF_ASKED = 0.35;
/** A move that nobody was asked for, or of a size that nobody was asked for, is a unit when it is so clear. */
const CLEAR_SIGMAS = 5;

/** @param effects of all screws before the move */
export function learnFromMove(
  move: Move,
  effects: readonly ScrewEffect[],
  asked: Asked,
): { readonly attribution: Attribution; readonly effects: ScrewEffect[] } {
  const attribution = attributeMove(move, effects, asked);
  const { cause, screws } = attribution;
  const after = effects.map((effect, screw) => {
    if (cause.kind === 'screw' && cause.screw === screw) {
      const learned = learnedEffect(effect, cause.turn, move.change, move.covariance);
      const askedFraction = asked.screw === screw ? (asked.turn?.fraction ?? null) : null;
      const doubted =
        isFarLess(effect, askedFraction, move.change) || (cause.turn === null && !isClear(learned));
      return doubted ? withoutUnit(learned) : learned;
    }
    const perhaps = cause.kind === 'cannot-tell' && screws[screw]! > PERHAPS_TURNED;
    return perhaps ? withoutUnit(effect) : effect;
  });
  return { attribution, effects: after };
}

function isClear({ unit }: ScrewEffect): boolean {
  if (unit === null) return false;
  const { length, sd } = unitLengthKpa(unit);
  return length > CLEAR_SIGMAS * sd;
}

/**
 * Someone who was asked for a good turn and has made much less of one has perhaps made none, and what was seen is
 * something else. A unit that is too small would be asked for many times over: rather find out again.
 */
function isFarLess(effect: ScrewEffect, askedFraction: number | null, change: readonly number[]): boolean {
  if (askedFraction === null || effect.unit === null) return false;
  return norm(change) < LEAST_OF_ASKED * Math.abs(askedFraction) * norm(effect.unit.mean);
}
