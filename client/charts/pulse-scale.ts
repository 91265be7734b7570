import type { PressureUnit } from '../units/pressure-unit.ts';
import { stepAtLeast } from './rail-scale.ts';

/** A peak beyond this part of the scale makes it taller; it gets lower only when there is this much air. */
const FULL = 0.96;
const ROOMY = 0.72;
/** Below this there is only noise [kPa]. */
const LEAST_KPA = 5;

/**
 * Top of the scale of the intake pulses [kPa of vacuum]. Holds still in steps that are round in the unit shown.
 * @param highestKpa highest vacuum to be shown, or null when none is known
 */
export function pulseTopKpa(
  highestKpa: number | null,
  unit: PressureUnit,
  previousKpa: number | null,
): number {
  const least = stepAtLeast(LEAST_KPA, unit);
  if (highestKpa === null) return previousKpa ?? stepAtLeast(60, unit);
  const needed = Math.max(least, stepAtLeast(Math.max(LEAST_KPA, highestKpa) / FULL, unit));
  if (previousKpa === null || needed > previousKpa * (1 + 1e-9)) return needed;
  const roomy = Math.max(least, stepAtLeast(Math.max(LEAST_KPA, highestKpa) / ROOMY, unit));
  return Math.min(stepAtLeast(previousKpa * 0.999, unit), roomy);
}
