import { studentTQuantile } from './student-t.ts';

/** P(|Z| <= 2) of the standard normal distribution. */
export const COVERAGE_OF_TWO = 0.954_499_736_1;

/**
 * Factor on a standard uncertainty that rests on few degrees of freedom, so that twice it still covers what two
 * standard deviations of the normal distribution do: t(ν)/2 (JCGM 100:2008, G.3 and G.6.4).
 *
 * @param degreesOfFreedom greater than 0
 * @returns 1 or more; 1.148 for 10
 */
export function coverageWidening(degreesOfFreedom: number): number {
  return studentTQuantile((1 + COVERAGE_OF_TWO) / 2, degreesOfFreedom) / 2;
}
