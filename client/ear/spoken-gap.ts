import type { Update } from '../../server/contract/live.ts';
import { decimalsFor } from '../units/decimals.ts';
import { fromKpa, type PressureUnit } from '../units/pressure-unit.ts';

/** A voice needs about this long for one figure [ms]. */
export const SPEAK_EVERY_MS = 4_000;
/** 'Equal' and 'moving' come sooner: they end what the hand is doing. */
export const SPEAK_WORD_MS = 1_200;
/** The same figure is said again only after a while, so that it is known to be still there. */
export const SPEAK_AGAIN_MS = 12_000;
/** A figure above this is said without decimals, one below the next with two. */
const WHOLE_ABOVE = 20;
const TWO_DECIMALS_BELOW = 0.95;

/**
 * The gap as it is spoken: no more digits than its uncertainty bears, the unit as a word.
 *
 * @returns null where there is nothing to say
 */
export function spokenGap(update: Update | null, unit: PressureUnit): string | null {
  if (update === null || update.spreadKpa === null) return null;
  if (update.settling === 'moving') return 'Moving.';
  if (update.verdict === 'inside') return 'Equal.';
  const value = fromKpa(update.spreadKpa, unit);
  const expanded = update.spreadExpandedKpa === null ? null : fromKpa(update.spreadExpandedKpa, unit);
  const worthSaying = value > WHOLE_ABOVE ? 0 : value < TWO_DECIMALS_BELOW ? 2 : 1;
  const text = value.toFixed(Math.min(worthSaying, decimalsFor(expanded, unit.maxDecimals)));
  return `${text} ${unit.spoken}.`;
}

export interface Spoken {
  readonly text: string;
  readonly atMs: number;
}

/** Whether it is time to say it. */
export function timeToSay(last: Spoken | null, text: string, nowMs: number): boolean {
  if (last === null) return true;
  const sinceMs = nowMs - last.atMs;
  if (text === last.text) return !isWord(text) && sinceMs >= SPEAK_AGAIN_MS;
  return sinceMs >= (isWord(text) || isWord(last.text) ? SPEAK_WORD_MS : SPEAK_EVERY_MS);
}

function isWord(text: string): boolean {
  return !/\d/.test(text);
}
