import { COVERAGE_FACTOR } from '../../calibration/uncertainty.ts';

/**
 * Expanded uncertainty (k = 2) of a mean, with that of the calibration beside its scatter: GUM, JCGM 100:2008, 5.1.2.
 *
 * @param standardError of the mean, or null when it is not known
 * @param calibrationUncertainty standard, in the same unit
 */
export function expanded(standardError: number | null, calibrationUncertainty = 0): number | null {
  return standardError === null ? null : COVERAGE_FACTOR * Math.hypot(standardError, calibrationUncertainty);
}
