import type { Update } from '../../server/contract/live.ts';
import type { PlayedEngine } from './played-engine.ts';

/**
 * How far a mean of n cycles may be from the truth: six standard errors of this engine's own scatter, known apart from
 * what the instrument says. Cycles follow each other with a little memory, and schedules show many thousands of
 * figures: fewer would fail an undisturbed engine now and then, and a stale or misread figure is much further off.
 * Where the instrument itself says that it is less sure, twice its expanded uncertainty holds.
 */
export const STANDARD_ERRORS = 6;
/** What a converter of 10 bits and a cycle cut a little early or late add [kPa]. */
export const MARGIN_KPA = 0.1;
/**
 * Scatter that a cycle's mean gains while lines of it are lost: of some thirty samples of a cycle that swings by 50 kPa
 * half may be missing, and straight lines stand in for them [kPa].
 */
export const SPARSE_SCATTER_KPA = 0.7;
/** A vacuum's mean may be younger than the gap's whose number of cycles is told: so many are taken for certain. */
export const VACUUM_CYCLES = 3;
/** Share by which a speed may be off: an octave error is far outside, a stumbling cycle inside. */
export const SPEED_SHARE = 0.05;

/**
 * What is wrong about a message, or null. Blank figures are never wrong.
 *
 * @param linesLost whether cycles that are still in the means were heard with holes
 */
export function wrongFigure(update: Update, engine: PlayedEngine, linesLost = false): string | null {
  const spread = (kpa: number) => (linesLost ? Math.hypot(kpa, SPARSE_SCATTER_KPA) : kpa);
  for (const [cyl, shown] of update.cylinders.entries()) {
    const gap = off(
      shown.gapKpa,
      shown.gapExpandedKpa,
      shown.cycles,
      engine.gapsKpa[cyl]!,
      spread(engine.gapScatterKpa[cyl]!),
    );
    if (gap !== null) return `gap of cylinder ${cyl + 1}: ${gap}`;
    const vacuum = off(
      shown.vacuumKpa,
      shown.vacuumExpandedKpa,
      shown.vacuumExpandedKpa === null ? 1 : Math.min(shown.cycles, VACUUM_CYCLES),
      engine.vacuumKpa[cyl]!,
      spread(engine.vacuumScatterKpa[cyl]!),
    );
    if (vacuum !== null) return `vacuum of cylinder ${cyl + 1}: ${vacuum}`;
    const single = off(
      shown.lastCycleKpa,
      null,
      1,
      engine.vacuumKpa[cyl]!,
      spread(engine.vacuumScatterKpa[cyl]!),
    );
    if (single !== null) return `last cycle of cylinder ${cyl + 1}: ${single}`;
  }
  for (const rpm of [update.engine.speedRpm, update.engine.idleRpm]) {
    if (rpm === null) continue;
    if (rpm < engine.slowestRpm * (1 - SPEED_SHARE) || rpm > engine.fastestRpm * (1 + SPEED_SHARE))
      return `speed ${rpm} r/min of an engine at ${engine.slowestRpm.toFixed(0)}…${engine.fastestRpm.toFixed(0)}`;
  }
  return null;
}

/** Whether everything is shown that a running engine has. */
export function isWhole(update: Update | null): boolean {
  return (
    update?.engine.running === true &&
    update.engine.speedRpm !== null &&
    update.cylinders.every(({ vacuumKpa, gapKpa }) => vacuumKpa !== null && gapKpa !== null)
  );
}

/** Whether no figure is shown at all. */
export function isBlank(update: Update): boolean {
  return (
    update.engine.speedRpm === null &&
    update.spreadKpa === null &&
    update.cylinders.every(
      ({ vacuumKpa, gapKpa, lastCycleKpa }) => vacuumKpa === null && gapKpa === null && lastCycleKpa === null,
    )
  );
}

function off(
  shown: number | null,
  expanded: number | null,
  cycles: number,
  truth: number,
  scatter: number,
): string | null {
  if (shown === null) return null;
  const allowed =
    Math.max(2 * (expanded ?? 0), (STANDARD_ERRORS * scatter) / Math.sqrt(Math.max(1, cycles))) + MARGIN_KPA;
  const error = Math.abs(shown - truth);
  return error <= allowed
    ? null
    : `${shown} ± ${expanded ?? '?'} kPa over ${cycles} cycles is ${error.toFixed(3)} from the true ${truth.toFixed(3)}, allowed ${allowed.toFixed(3)}`;
}
