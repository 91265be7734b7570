/** What a check says. `cannot-tell` comes with a reason; it is never shown as a pass. */
export type CheckVerdict = 'found' | 'not-found' | 'cannot-tell';

/** A figure and its standard uncertainty (JCGM 100), in the unit of its name. */
export interface Figure {
  readonly value: number;
  readonly standardUncertainty: number;
}
