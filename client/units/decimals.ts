/**
 * How many decimals a figure deserves. The expanded uncertainty is shown with one significant digit, or two where
 * the first is a 1 or a 2, and the figure ends at the same place (GUM, JCGM 100:2008, 7.2.6: at most two digits,
 * and the estimate rounded to agree with its uncertainty). Printed reports follow the same rule.
 */

/** Below this first digit rounding to one digit would change the uncertainty by more than a sixth. */
const TWO_DIGITS_BELOW = 3;

/** The uncertainty has to move this far past the border before the figure changes its length. */
const STAY = 1.25;

/**
 * @param expanded expanded uncertainty in the unit that is shown, > 0; null when it is not known
 * @param maxDecimals the unit's own limit
 * @returns 0 … maxDecimals; one less than the limit when the uncertainty is not known
 */
export function decimalsFor(expanded: number | null, maxDecimals: number): number {
  if (expanded === null || !Number.isFinite(expanded)) return Math.max(0, maxDecimals - 1);
  if (expanded <= 0) return maxDecimals;
  // Rounded first: 0.0996 is shown as 0.10, so its first digit is a 1.
  const [digits, exponent] = expanded.toExponential(1).split('e');
  const significant = Number(digits) < TWO_DIGITS_BELOW ? 2 : 1;
  return Math.min(maxDecimals, Math.max(0, significant - 1 - Number(exponent)));
}

/** The same, but a figure that hovers at a border keeps the length that it has. */
export function steadyDecimals(
  expanded: number | null,
  maxDecimals: number,
  previous: number | null,
): number {
  const wanted = decimalsFor(expanded, maxDecimals);
  if (previous === null || expanded === null || wanted === previous) return wanted;
  const stays =
    decimalsFor(expanded * STAY, maxDecimals) === previous ||
    decimalsFor(expanded / STAY, maxDecimals) === previous;
  return stays ? previous : wanted;
}
