/**
 * The level of every cylinder and its gap to the reference, each averaged over engine cycles until a screw is turned.
 * A turned screw shows in both: the gap cancels what is common to all, the level has not the others' scatter in it.
 */
import { LevelTracker } from './level-tracker.ts';
import type { EngineCycle } from './paired-cycles.ts';
import { referenceOf } from './reference-vacuum.ts';
import { type SeriesMean, seriesMean } from './series-mean.ts';

/** A cycle with a pulse weaker than this is no evidence of a turned screw. */
const DOUBTFUL_STRENGTH = 0.65;
/** Standard errors by which a gap must follow its cylinder's changed level. */
const CONFIRMING_SIGMAS = 2;

export class BalanceLevels {
  /** Negative absolute pressure of each cylinder [kPa]: vacuum, but for the barometric pressure. */
  readonly levels: readonly LevelTracker[];
  /** Vacuum of each cylinder above the reference's [kPa]. */
  readonly gaps: readonly LevelTracker[];

  constructor(cylinders: number) {
    this.levels = Array.from({ length: cylinders }, () => new LevelTracker(cylinders));
    this.gaps = Array.from({ length: cylinders }, () => new LevelTracker(cylinders));
  }

  /** Engine cycles in the present gaps. */
  get cycles(): number {
    return this.gaps[0]!.values.length;
  }

  /**
   * @param reference index of the reference cylinder, or 'mean' of all
   * @param hasNoReading whether a cylinder's sensor shows no pressure of its own
   */
  push(
    engineCycle: EngineCycle,
    reference: number | 'mean',
    hasNoReading: (cylinder: number) => boolean,
  ): void {
    const vacuums = engineCycle.cycles.map((cycle, cylinder) =>
      cycle === null || cycle.meanKpa === null || hasNoReading(cylinder) ? null : -cycle.meanKpa,
    );
    const doubtful = engineCycle.cycles.some((cycle) => (cycle?.strength ?? 1) < DOUBTFUL_STRENGTH);
    const levelChanged = vacuums.map(
      (vacuum, cylinder) => vacuum !== null && this.levels[cylinder]!.push(vacuum, doubtful),
    );
    // A mean over other cylinders than in the cycle before is another reference, and every gap would seem to jump.
    const lacking = vacuums.some((vacuum, cylinder) => vacuum === null && !hasNoReading(cylinder));
    const referenceVacuum = lacking && reference === 'mean' ? null : referenceOf(vacuums, reference);
    if (referenceVacuum === null) return;
    let keep = Number.POSITIVE_INFINITY;
    vacuums.forEach((vacuum, cylinder) => {
      if (vacuum === null) return;
      const gap = this.gaps[cylinder]!;
      const level = this.levels[cylinder]!;
      const changed = gap.push(vacuum - referenceVacuum, doubtful);
      if (changed || (levelChanged[cylinder] && confirms(gap, level)))
        keep = Math.min(keep, changed ? gap.values.length : level.values.length);
    });
    // A screw moves every gap: all forget what was before.
    if (keep < Number.POSITIVE_INFINITY) for (const gap of this.gaps) gap.changeTo(keep);
  }

  /** What comes next does not join on. */
  restart(): void {
    for (const level of this.levels) level.restart(0);
    this.restartGaps();
  }

  /** Another reference. */
  restartGaps(): void {
    for (const gap of this.gaps) gap.restart(0);
  }

  /** A cylinder has lost its reading, and the mean of all is that of others now. */
  restartCylinder(cylinder: number): void {
    this.levels[cylinder]!.restart(0);
    this.restartGaps();
  }

  /** Mean absolute pressure of every cylinder [kPa]; one without takes that of the others, for want of its own. */
  absoluteKpa(): number[] {
    const own = this.levels
      .map((level) => level.level())
      .map(({ count, mean }) => (count > 0 ? -mean : null));
    const known = own.filter((kpa) => kpa !== null);
    const usual = known.reduce((sum, kpa) => sum + kpa, 0) / Math.max(1, known.length);
    return own.map((kpa) => kpa ?? usual);
  }

  /** One cylinder's vacuum less another's, from the cycles that both have [kPa]. */
  difference(one: number, other: number): SeriesMean {
    const upper = this.gaps[one]!.values;
    const lower = this.gaps[other]!.values;
    const n = Math.min(upper.length, lower.length);
    return seriesMean(
      Array.from(
        { length: n },
        (_, index) => upper[upper.length - n + index]! - lower[lower.length - n + index]!,
      ),
    );
  }
}

/** A cylinder's own level shows a turned screw more clearly than its gap does; the gap must only not deny it. */
function confirms(gap: LevelTracker, level: LevelTracker): boolean {
  return gap.standsOff(level.values.length) * level.side > CONFIRMING_SIGMAS;
}
