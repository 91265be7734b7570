import { fromKpa, type PressureUnit, toKpa } from '../units/pressure-unit.ts';

/** Steps of the scale in each power of ten of the unit that is shown. */
const LADDER = [1, 1.5, 2, 3, 4, 5, 6, 8];
/** The band never fills more than half of the scale: what is outside must have room to be seen. */
const LEAST_TOLERANCES = 2;
/** A marker beyond this part of the scale makes it wider. */
const FULL = 0.94;
/** The scale gets narrower only when every marker would sit within this part of the new one. */
const ROOMY = 0.7;
/** A hose that came off must not flatten the picture of the others. */
const MOST_TOLERANCES = 40;

/**
 * Half-width of the rail's scale round the reference [kPa]. It holds still while the markers move and changes in steps
 * that are round in the unit shown, so that the same place keeps meaning the same difference.
 * @param largestKpa largest |gap| to be shown [kPa]; null when none is known
 * @param toleranceKpa half-width of the band [kPa]
 * @param previousKpa half-width shown until now, or null
 */
export function railHalfWidthKpa(
  largestKpa: number | null,
  toleranceKpa: number,
  unit: PressureUnit,
  previousKpa: number | null,
): number {
  const least = stepAtLeast(LEAST_TOLERANCES * toleranceKpa, unit);
  const most = stepAtLeast(MOST_TOLERANCES * toleranceKpa, unit);
  const previous =
    previousKpa === null ? null : Math.min(most, Math.max(least, stepAtLeast(previousKpa * 0.999, unit)));
  if (largestKpa === null) return previous ?? least;
  const needed = Math.min(most, Math.max(least, stepAtLeast(Math.abs(largestKpa) / FULL, unit)));
  if (previous === null || needed > previous) return needed;
  const roomy = Math.min(most, Math.max(least, stepAtLeast(Math.abs(largestKpa) / ROOMY, unit)));
  return Math.min(previous, roomy);
}

/** @returns the smallest step of the ladder that is not less, in kPa */
export function stepAtLeast(kpa: number, unit: PressureUnit): number {
  const value = fromKpa(kpa, unit);
  const power = 10 ** Math.floor(Math.log10(value));
  const step = LADDER.find((rung) => rung * power >= value * (1 - 1e-9));
  return toKpa(step === undefined ? 10 * power : step * power, unit);
}

/** Room that a number of the scale needs [px]. */
export const PX_PER_TICK = 84;

export interface Tick {
  readonly kpa: number;
  /** In the unit shown. */
  readonly value: number;
}

/** Marks at round values in the unit shown, zero among them. */
export function railTicks(
  halfWidthKpa: number,
  unit: PressureUnit,
  most: number,
): { readonly ticks: readonly Tick[]; readonly decimals: number } {
  const half = fromKpa(halfWidthKpa, unit);
  const step = tickStep((2 * half) / Math.max(2, most));
  const count = Math.floor(half / step + 1e-9);
  const ticks: Tick[] = [];
  for (let i = -count; i <= count; i++) {
    const value = Number((i * step).toPrecision(12));
    ticks.push({ value, kpa: toKpa(value, unit) });
  }
  return { ticks, decimals: decimalsOf(step) };
}

function tickStep(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  const factor = [1, 2, 5, 10].find((candidate) => candidate * power >= least * (1 - 1e-9)) ?? 10;
  return Number((factor * power).toPrecision(6));
}

/** Decimals that a step of 1, 2 or 5 times a power of ten needs. */
function decimalsOf(step: number): number {
  return Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
}
