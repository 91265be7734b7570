import type { Update } from '../../server/contract/live.ts';

/**
 * Vacuum of the last cycle alone against the reference's last cycle [kPa], per cylinder: the restless figure behind the
 * settled one. null where either is not known.
 * @param reference 1-based cylinder, or 'mean' of those that are known
 */
export function cycleGapsKpa(update: Update, reference: number | 'mean'): (number | null)[] {
  const base = referenceKpa(update, reference);
  return update.cylinders.map(({ lastCycleKpa }) =>
    lastCycleKpa === null || base === null ? null : lastCycleKpa - base,
  );
}

function referenceKpa(update: Update, reference: number | 'mean'): number | null {
  if (reference !== 'mean') return update.cylinders[reference - 1]?.lastCycleKpa ?? null;
  const known = update.cylinders.flatMap(({ lastCycleKpa }) => (lastCycleKpa === null ? [] : [lastCycleKpa]));
  return known.length === 0 ? null : known.reduce((sum, kpa) => sum + kpa, 0) / known.length;
}
