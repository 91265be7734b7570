/** The cylinders of a whole recording against each other, from the engine cycles that all of them have. */
import { expanded } from './expanded.ts';
import type { SensorState } from './reading.ts';
import { referenceOf } from './reference-vacuum.ts';
import { type SeriesMean, seriesMean } from './series-mean.ts';

/** A difference and its expanded uncertainty, k = 2 [kPa]. */
interface Difference {
  readonly value: number;
  readonly expandedUncertainty: number | null;
}

export interface ComparedColumns {
  /** Per cylinder; null where it has no paired cycles with the reference. */
  readonly gapsKpa: readonly (Difference | null)[];
  /** Largest minus smallest; null where fewer than two can be compared. */
  readonly spreadKpa: Difference | null;
}

/** Sensors in these states show a pressure of their cylinder's own. */
const COMPARABLE: readonly SensorState[] = ['ok', 'noisy', 'no-pulse'];

/**
 * @param columns per cylinder its vacuum in each engine cycle, but for the barometric pressure [kPa]; NaN where it has none
 * @param states of each cylinder's sensor
 * @param reference index of the reference cylinder, or 'mean' of all
 */
export function compareColumns(
  columns: readonly (readonly number[])[],
  states: readonly SensorState[],
  reference: number | 'mean',
): ComparedColumns {
  const paired = pairUp(columns, states);
  const cycles = Math.max(...paired.map((series) => series.length));
  const gaps = paired.map((): number[] => []);
  for (let cycle = 0; cycle < cycles; cycle++) {
    const vacuums = paired.map((series) => series[cycle] ?? null);
    const referenceVacuum = referenceOf(vacuums, reference);
    if (referenceVacuum === null) continue;
    vacuums.forEach((vacuum, cylinder) => {
      if (vacuum !== null) gaps[cylinder]!.push(vacuum - referenceVacuum);
    });
  }
  const gapsKpa = gaps.map((series) => (series.length === 0 ? null : withExpanded(seriesMean(series))));
  return { gapsKpa, spreadKpa: spreadOf(gaps, gapsKpa) };
}

/** Vacuum in the engine cycles that all comparable cylinders share; empty where a cylinder is not comparable. */
function pairUp(columns: readonly (readonly number[])[], states: readonly SensorState[]): number[][] {
  const comparable = states.map((state) => COMPARABLE.includes(state));
  const paired = columns.map((): number[] => []);
  const cycles = columns[0]?.length ?? 0;
  for (let cycle = 0; cycle < cycles; cycle++) {
    const lacking = columns.some((column, cylinder) => comparable[cylinder] && Number.isNaN(column[cycle]));
    if (lacking) continue;
    columns.forEach((column, cylinder) => {
      if (comparable[cylinder]) paired[cylinder]!.push(column[cycle]!);
    });
  }
  return paired;
}

function spreadOf(
  gaps: readonly (readonly number[])[],
  gapsKpa: readonly (Difference | null)[],
): Difference | null {
  let high = -1;
  let low = -1;
  gapsKpa.forEach((gap, cylinder) => {
    if (gap === null) return;
    if (high < 0 || gap.value > gapsKpa[high]!.value) high = cylinder;
    if (low < 0 || gap.value < gapsKpa[low]!.value) low = cylinder;
  });
  if (high < 0 || high === low) return null;
  return withExpanded(seriesMean(gaps[high]!.map((gap, cycle) => gap - gaps[low]![cycle]!)));
}

function withExpanded({ mean, standardError }: SeriesMean): Difference {
  return { value: mean, expandedUncertainty: expanded(standardError) };
}
