import { computed, effect, signal } from '@preact/signals';
import { setup, toleranceKpa } from '../link/latest.ts';
import { railUpdate } from '../link/shown.ts';
import { chosenUnit } from '../units/chosen-unit.ts';
import { cycleGapsKpa } from './cycle-gaps.ts';
import type { Marker } from './marker.ts';
import { railHalfWidthKpa } from './rail-scale.ts';

/** Half-width of the scale that rail and chart share [kPa]. */
export const halfWidthKpa = signal(2);

/** The cylinders that have a place on the rail now. One without a settled mean stands where its last cycle was. */
export const markers = computed<readonly Marker[]>(() => {
  const update = railUpdate.value;
  const reference = setup.value?.reference ?? 'mean';
  if (update === null) return [];
  const cycleGaps = cycleGapsKpa(update, reference);
  return update.cylinders.flatMap(({ gapKpa, gapExpandedKpa }, cyl): Marker[] => {
    if (gapKpa !== null) return [{ cyl, kpa: gapKpa, expandedKpa: gapExpandedKpa }];
    const cycleGap = cycleGaps[cyl] ?? null;
    return cycleGap === null ? [] : [{ cyl, kpa: cycleGap, expandedKpa: null }];
  });
});

/** Keeps the scale in step with markers, tolerance and unit. */
export function followRailScale(): void {
  effect(() => {
    const tolerance = toleranceKpa.value;
    const largest = markers.value.reduce<number | null>(
      (most, { kpa, expandedKpa }) => Math.max(most ?? 0, Math.abs(kpa) + (expandedKpa ?? 0)),
      null,
    );
    halfWidthKpa.value = railHalfWidthKpa(largest, tolerance, chosenUnit.value, halfWidthKpa.peek());
  });
}
