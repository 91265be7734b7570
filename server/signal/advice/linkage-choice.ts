/** The makes of linkage that a person can choose from. */
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
  switch (kind) {
    case 'none':
      return noLinkage(cylinders);
    case 'one-screw':
      return cylinders === 2 ? oneScrewBetweenTwo() : null;
    case 'rack-of-four':
      return cylinders === 4 ? rackOfFour() : null;
    case 'base-and-screws':
      return cylinders >= 2 && base >= 0 && base < cylinders ? baseAndScrews(cylinders, base) : null;
    case 'stops-and-cables':
      return cylinders >= 2 ? stopsAndCables(cylinders) : null;
  }
}
