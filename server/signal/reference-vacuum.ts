/**
 * What each cylinder is compared with in one engine cycle.
 *
 * @param vacuums one value per cylinder [kPa], null where it has none
 * @param reference index of the reference cylinder, or 'mean' of all that have a value
 * @returns null when the reference has no value, or fewer than two cylinders have one
 */
export function referenceOf(vacuums: readonly (number | null)[], reference: number | 'mean'): number | null {
  const known = vacuums.filter((vacuum) => vacuum !== null);
  if (known.length < 2) return null;
  if (reference !== 'mean') return vacuums[reference] ?? null;
  return known.reduce((sum, vacuum) => sum + vacuum, 0) / known.length;
}
