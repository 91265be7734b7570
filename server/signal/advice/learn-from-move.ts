/** What a move teaches: which screw it was, and what that screw does. */
import { norm } from './gaussian.ts';
import { type Asked, type Attribution, attributeMove } from './move-attribution.ts';
import type { Move } from './move-detector.ts';
import { learnedEffect, type ScrewEffect, withoutUnit } from './screw-effects.ts';

/** A screw that has perhaps been turned has lost its unit. */
const PERHAPS_TURNED = 0.05;
/** Less than this part of what was asked is hardly that turn. */
const LEAST_OF_ASKED = 0.35;

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
      const asksForIt = asked.screw === screw ? asked.turn : null;
      return isFarLess(effect, asksForIt?.fraction ?? null, move.change) ? withoutUnit(learned) : learned;
    }
    const perhaps = cause.kind === 'cannot-tell' && screws[screw]! > PERHAPS_TURNED;
    return perhaps ? withoutUnit(effect) : effect;
  });
  return { attribution, effects: after };
}

/**
 * Someone who was asked for a good turn and has made much less of one has perhaps made none, and what was seen is
 * something else. A unit that is too small would be asked for many times over: rather find out again.
 */
function isFarLess(effect: ScrewEffect, askedFraction: number | null, change: readonly number[]): boolean {
  if (askedFraction === null || effect.unit === null) return false;
  return norm(change) < LEAST_OF_ASKED * Math.abs(askedFraction) * norm(effect.unit.mean);
}
