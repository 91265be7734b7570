/** Series of engine cycles for the spot test, from the cycles of each cylinder. */

export interface SpotSeries {
  /** Middle of each engine cycle, rising [s]. */
  readonly timeS: readonly number[];
  readonly speedRpm: readonly number[];
  /** Mean vacuum of each cylinder in that cycle [kPa], by cylinder; null where it has none. */
  readonly vacuumKpa: readonly (readonly (number | null)[])[];
}

export interface CylinderCycle {
  readonly startS: number;
  readonly endS: number;
  readonly meanVacuumKpa: number | null;
}

/**
 * Puts the cylinders' cycles side by side: each goes to the engine cycle whose middle is nearest, by the cylinder with
 * the most cycles.
 *
 * @param cylinders cycles of each cylinder, rising
 * @param revolutions crank revolutions per engine cycle
 */
export function spotSeries(
  cylinders: readonly (readonly CylinderCycle[])[],
  revolutions: number,
): SpotSeries {
  const lead = cylinders.reduce((a, b) => (b.length > a.length ? b : a), cylinders[0] ?? []);
  const middle = (cycle: CylinderCycle): number => 0.5 * (cycle.startS + cycle.endS);
  const timeS = lead.map(middle);
  const vacuumKpa = cylinders.map((cycles) => {
    const row: (number | null)[] = lead.map(() => null);
    let at = 0;
    for (const cycle of cycles) {
      const m = middle(cycle);
      while (at + 1 < timeS.length && Math.abs(timeS[at + 1]! - m) <= Math.abs(timeS[at]! - m)) at++;
      const lengthS = cycle.endS - cycle.startS;
      if (timeS.length === 0 || Math.abs(timeS[at]! - m) > 0.75 * lengthS) continue;
      row[at] = cycle.meanVacuumKpa;
    }
    return row;
  });
  // One cylinder's alone: means of overlapping cycles would be correlated by their making.
  const speedRpm = lead.map((cycle) => (60 * revolutions) / (cycle.endS - cycle.startS));
  return { timeS, speedRpm, vacuumKpa };
}
