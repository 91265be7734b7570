/**
 * Cranking check: with ignition off and throttles shut the starter turns the engine, and each cylinder pumps. One that
 * pulls clearly less than the others breathes badly: valve, clearance, rings, or air that gets in. A rough comparison, no
 * compression test: speed, oil and throttle stops all have a say.
 */
import type { CheckVerdict, Figure } from '../check-verdict.ts';

export interface CrankingCylinder {
  /** 0-based. */
  readonly cylinder: number;
  /** 'found': it pulls clearly less than the others. */
  readonly verdict: CheckVerdict;
  readonly reason: CrankingReason | null;
  readonly whatToDo: string;
  /** Mean cranking vacuum [kPa]. */
  readonly vacuumKpa: Figure | null;
  /** It over the middle one of the others. */
  readonly share: number | null;
  /** Standard uncertainties between the share and the limit. */
  readonly strength: number | null;
}

export type CrankingReason = 'not-cranked' | 'engine-ran' | 'nothing-to-compare' | 'near-the-limit';

export interface CrankingResult {
  readonly cylinders: readonly CrankingCylinder[];
  /** How long it was cranked [s]. */
  readonly crankedS: number;
  readonly whatToDo: string;
}

/** While cranked the pressure of some cylinder swings by more than this within a window of that length. */
const LEAST_SWING_KPA = 1.5;
const WINDOW_S = 0.75;
/** Shorter is no comparison [s]. */
const SHORTEST_S = 2.5;
/** The ports have to be pumped out first: so much is left out [s]. */
const SETTLE_S = 0.75;
/** An engine that fires pulls more than this while its pressure swings as much [kPa]. */
const RAN_VACUUM_KPA = 30;
/** Less than this part of the others' is found; sound cylinders differ by that much, standard. */
const WORTH_SHARE = 0.65;
const NATURAL_SHARE = 0.1;
const CLEAR_SIGMAS = 1;

/**
 * @param timeS rising times [s]
 * @param vacuumKpa of each cylinder, as many; NaN where a sample is missing
 */
export function crankingCheck(
  timeS: ArrayLike<number>,
  vacuumKpa: readonly ArrayLike<number>[],
): CrankingResult {
  const windows = crankedWindows(timeS, vacuumKpa);
  const crankedS = windows.length * WINDOW_S;
  const untoldBy = (reason: CrankingReason): CrankingResult => ({
    cylinders: vacuumKpa.map((_, cylinder) => untold(cylinder, reason, null)),
    crankedS,
    whatToDo: REASONS[reason],
  });
  if (crankedS < SHORTEST_S) return untoldBy('not-cranked');
  const used = windows.slice(Math.round(SETTLE_S / WINDOW_S));
  const figures = vacuumKpa.map((_, cylinder) => figureOf(used.map((means) => means[cylinder]!)));
  if (figures.some((figure) => figure !== null && figure.value > RAN_VACUUM_KPA))
    return untoldBy('engine-ran');
  const cylinders = figures.map((figure, cylinder): CrankingCylinder => {
    const others = figures.flatMap((one, at) => (one === null || at === cylinder ? [] : [one.value]));
    if (figure === null || others.length === 0) return untold(cylinder, 'nothing-to-compare', figure);
    others.sort((a, b) => a - b);
    const reference = others[others.length >> 1]!;
    const share = figure.value / reference;
    const past = (WORTH_SHARE - share) / Math.hypot(NATURAL_SHARE, figure.standardUncertainty / reference);
    if (Math.abs(past) < CLEAR_SIGMAS) return { ...untold(cylinder, 'near-the-limit', figure), share };
    const found = past > 0;
    return {
      cylinder,
      verdict: found ? 'found' : 'not-found',
      reason: null,
      whatToDo: found ? WEAK : ALIKE,
      vacuumKpa: figure,
      share,
      strength: Math.abs(past),
    };
  });
  const first =
    cylinders.find(({ verdict }) => verdict === 'found') ??
    cylinders.find(({ verdict }) => verdict === 'cannot-tell') ??
    cylinders[0]!;
  return { cylinders, crankedS, whatToDo: first.whatToDo };
}

/** Mean vacuum of each cylinder in each window in which the engine was turned. */
function crankedWindows(timeS: ArrayLike<number>, vacuumKpa: readonly ArrayLike<number>[]): number[][] {
  const windows: number[][] = [];
  let from = 0;
  while (from < timeS.length) {
    let to = from;
    while (to < timeS.length && timeS[to]! - timeS[from]! < WINDOW_S) to++;
    const stats = vacuumKpa.map((column) => statsOf(column, from, to));
    const whole = timeS[to - 1]! - timeS[from]! > WINDOW_S / 2;
    if (whole && stats.some(({ swing }) => swing > LEAST_SWING_KPA))
      windows.push(stats.map(({ mean }) => mean));
    from = to;
  }
  return windows;
}

function statsOf(column: ArrayLike<number>, from: number, to: number): { mean: number; swing: number } {
  const known: number[] = [];
  for (let row = from; row < to; row++) if (column[row]! - column[row]! === 0) known.push(column[row]!);
  if (known.length < (to - from) / 2) return { mean: Number.NaN, swing: 0 };
  known.sort((a, b) => a - b);
  const part = (share: number): number => known[Math.floor(share * (known.length - 1))]!;
  return {
    mean: known.reduce((sum, value) => sum + value, 0) / known.length,
    swing: part(0.95) - part(0.05),
  };
}

function figureOf(values: readonly number[]): Figure | null {
  if (values.some(Number.isNaN) || values.length < 2) return null;
  const value = values.reduce((sum, one) => sum + one, 0) / values.length;
  const squares = values.reduce((sum, one) => sum + (one - value) ** 2, 0);
  return { value, standardUncertainty: Math.sqrt(squares / (values.length - 1) / values.length) };
}

const WEAK =
  'It pulls clearly less than the others on the starter: check its valve clearances cold, then its compression; look at its boot and throttle stop too.';
const ALIKE = 'It pulls like the others on the starter. That is a rough comparison and no compression test.';
const REASONS: Record<CrankingReason, string> = {
  'not-cranked':
    'The engine was not turned long enough: ignition off, throttles shut, and crank for five seconds. Spare the starter: let it cool between tries.',
  'engine-ran': 'The engine seems to have fired: switch ignition and fuel off, then crank again.',
  'nothing-to-compare': 'There is no other cylinder to compare with.',
  'near-the-limit':
    'It pulls a little less than the others, near the limit: repeat, and check its valve clearances cold.',
};

function untold(cylinder: number, reason: CrankingReason, vacuumKpa: Figure | null): CrankingCylinder {
  return {
    cylinder,
    verdict: 'cannot-tell',
    reason,
    whatToDo: REASONS[reason],
    vacuumKpa,
    share: null,
    strength: null,
  };
}
