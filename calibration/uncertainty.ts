/** Uncertainties after the Guide to the expression of uncertainty in measurement, JCGM 100:2008. */

/** The coverage factor with which every ± of this project is given: about 95 % (6.2.1). */
export const COVERAGE_FACTOR = 2;

/** Standard uncertainty of a value known only to lie within ± half-width, every place alike (4.3.7). */
export function rectangular(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}
