/** The makes of linkage that a person can choose from, in plain words. */
import { MAX_CYLINDERS, MIN_CYLINDERS } from '../engine-setup.ts';
import {
  baseAndScrews,
  type Linkage,
  type LinkageKind,
  noLinkage,
  oneScrewBetweenTwo,
  rackOfFour,
  stopsAndCables,
} from './linkage.ts';

export type ChosenLinkage = Exclude<LinkageKind, 'own-matrix'>;

export interface LinkageChoice {
  readonly kind: ChosenLinkage;
  readonly words: string;
}

interface Make extends LinkageChoice {
  readonly fits: (cylinders: number) => boolean;
  readonly build: (cylinders: number, base: number) => Linkage;
}

const MAKES: readonly Make[] = [
  {
    kind: 'one-screw',
    words: 'One screw between two',
    fits: (cylinders) => cylinders === 2,
    build: oneScrewBetweenTwo,
  },
  {
    kind: 'rack-of-four',
    words: 'Rack of four: a screw in each pair and one between the pairs',
    fits: (cylinders) => cylinders === 4,
    build: rackOfFour,
  },
  {
    kind: 'base-and-screws',
    words: 'One base cylinder, and a screw for each other one',
    fits: (cylinders) => cylinders >= 2,
    build: baseAndScrews,
  },
  {
    kind: 'stops-and-cables',
    words: 'A stop screw and a cable for each cylinder',
    fits: (cylinders) => cylinders >= 2,
    build: stopsAndCables,
  },
  { kind: 'none', words: 'Not known: no advice', fits: () => true, build: noLinkage },
];

/** Those that fit a set of so many cylinders, the usual one first. */
export function linkageChoices(cylinders: number): LinkageChoice[] {
  return MAKES.filter(({ fits }) => fits(cylinders)).map(({ kind, words }) => ({ kind, words }));
}

/**
 * The linkage of a choice.
 *
 * @param base 0-based cylinder without a screw, where there is one
 * @returns null where the choice does not fit the set
 * @throws RangeError for a number of cylinders outside 1…8
 */
export function chosenLinkage(kind: ChosenLinkage, cylinders: number, base = 0): Linkage | null {
  if (!(Number.isInteger(cylinders) && cylinders >= MIN_CYLINDERS && cylinders <= MAX_CYLINDERS))
    throw new RangeError(`A set has ${MIN_CYLINDERS} to ${MAX_CYLINDERS} cylinders, not ${cylinders}`);
  const make = MAKES.find((known) => known.kind === kind)!;
  if (!make.fits(cylinders)) return null;
  return kind === 'base-and-screws' && !(base >= 0 && base < cylinders) ? null : make.build(cylinders, base);
}
