import type { ServiceFigures } from '../../../server/contract/jobs-values.ts';

/** Nothing looked up yet. */
export const NO_FIGURES: ServiceFigures = {
  idleSpeed: null,
  vacuumDifference: null,
  intakeClearance: null,
  exhaustClearance: null,
  sparkPlug: null,
  referenceCylinder: null,
  others: [],
};
