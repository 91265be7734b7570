/** The next move as one plain sentence, to be read or heard: no units, no figures, no blame. */
import type { TurnDirection } from './next-move.ts';

/** What the last turn did to the gap. */
export type TurnOutcome = 'closer' | 'further' | 'no-change';

interface Amount {
  readonly fraction: number;
  readonly same: string;
  readonly back: string;
}

/** Steps that a hand can tell apart: each is about a third or a half more than the one before. */
const AMOUNTS: readonly Amount[] = [
  { fraction: 0.06, same: 'only a touch', back: 'only a touch' },
  ...part(1 / 8, 'an eighth'),
  ...part(1 / 4, 'a quarter'),
  ...part(1 / 3, 'a third'),
  ...part(1 / 2, 'half'),
  ...part(3 / 4, 'three quarters'),
  { fraction: 1, same: 'about as much again', back: 'about as far' },
  ...times(1.5, 'one and a half times'),
  ...times(2, 'twice'),
  ...times(3, 'three times'),
  ...times(4, 'four times'),
  ...times(6, 'six times'),
];

/** An amount that was said before stays as long as it is within this factor of what is wanted. */
const STAYS_WITHIN = 1.35;

/**
 * The amount that is said for a fraction.
 *
 * @param fraction of the last move, above 0
 * @param said fraction that is being said already, or null
 * @returns the fraction that the words stand for
 */
export function spokenFraction(fraction: number, said: number | null): number {
  if (said !== null && said / fraction < STAYS_WITHIN && fraction / said < STAYS_WITHIN) return said;
  return AMOUNTS.reduce((best, one) =>
    Math.abs(Math.log(one.fraction / fraction)) < Math.abs(Math.log(best.fraction / fraction)) ? one : best,
  ).fraction;
}

export interface SpokenMove {
  readonly screwName: string;
  readonly direction: TurnDirection;
  /** One of those that `spokenFraction` gives, or null for 'a little'. */
  readonly fraction: number | null;
  /** Whether that screw is the one turned last. */
  readonly turnedLast: boolean;
  readonly outcome: TurnOutcome | null;
}

export function moveSentence({ screwName, direction, fraction, turnedLast, outcome }: SpokenMove): string {
  const turn = `turn ${screwName} ${how(direction, fraction, turnedLast)}.`;
  if (outcome === 'closer') return `Closer: ${turn}`;
  if (outcome === 'further') return `Further apart: ${turn}`;
  return `T${turn.slice(1)}`;
}

export const EQUAL_SENTENCE = 'Equal. Leave the screws.';

function how(direction: TurnDirection, fraction: number | null, turnedLast: boolean): string {
  const amount = AMOUNTS.find((one) => one.fraction === fraction);
  if (direction === 'either' || amount === undefined) return 'a little, either way, and let it settle';
  if (direction === 'same') return `the same way${turnedLast ? '' : ' as its last turn'}, ${amount.same}`;
  return `back${turnedLast ? '' : ' from its last turn'}, ${amount.back}`;
}

function part(fraction: number, word: string): Amount[] {
  return [{ fraction, same: `about ${word} as much again`, back: `about ${word} of that` }];
}

function times(fraction: number, word: string): Amount[] {
  return [{ fraction, same: `about ${word} as much again`, back: `about ${word} as far` }];
}
