/**
 * Part of the full flow area of a valve over crank angle, at `LIFT_STEPS_PER_DEGREE` steps from opening to closing:
 * a sine-squared lift, which is close to a cam with a smooth ramp.
 */
export function liftTable(opensDeg: number, closesDeg: number): Float64Array {
  const steps = Math.round((closesDeg - opensDeg) * LIFT_STEPS_PER_DEGREE);
  if (steps <= 0)
    throw new RangeError(`A valve cannot open at ${opensDeg} and close at ${closesDeg} degrees`);
  return Float64Array.from({ length: steps + 1 }, (_, step) => Math.sin((Math.PI * step) / steps) ** 2);
}

export const LIFT_STEPS_PER_DEGREE = 2;
