/**
 * Finds throttle blips in the record of an idling engine: the vacuum of all cylinders falls away at once, the speed goes
 * up, and both come back by themselves. A pulled hose moves one cylinder only; an engine that stalls does not come back.
 * Of the cylinders the lower one in the middle is followed, each against its own idle: a slide that lags does not hide
 * the blip.
 */
import { median } from '../median.ts';

export interface Blip {
  /** The vacuum fell through about half of the idle's, and rose through it again [s]. */
  readonly openS: number;
  readonly shutS: number;
}

export interface BlipRecord {
  /** Rising times of the samples [s]. */
  readonly timeS: ArrayLike<number>;
  /** Vacuum of each cylinder, as many; NaN where a sample is missing [kPa]. */
  readonly vacuumKpa: readonly ArrayLike<number>[];
  /** Middle of each engine cycle that was followed [s], and its speed [r/min]. */
  readonly cycleTimeS: readonly number[];
  readonly cycleSpeedRpm: readonly number[];
  /** Crank revolutions per engine cycle: 2 for four strokes. */
  readonly revolutions: number;
}

/** Vacuum of each cylinder, its pulses averaged out, on an even grid. */
export interface SmoothedVacuum {
  readonly startS: number;
  readonly stepS: number;
  /** By cylinder; NaN where most samples are missing. */
  readonly kpa: readonly Float64Array[];
  /** Vacuum of each cylinder at idle: its median [kPa]; null where it has none to speak of. */
  readonly idleKpa: readonly (number | null)[];
  /** Vacuum of the lower one in the middle of the cylinders, as a part of its own at idle; NaN where none is known. */
  readonly together: Float64Array;
}

export const GRID_STEP_S = 0.01;
const USUAL_CYCLE_S = 0.12;
/** Less is no idle's [kPa]. */
const LEAST_IDLE_KPA = 5;
/** Open while the vacuum is below this part of the idle's ... */
const OPEN_BELOW = 0.55;
/** ... for so long [s] ... */
const SHORTEST_S = 0.12;
const LONGEST_S = 3;
/** ... having fallen from this part within this time [s]. */
const FALLEN_FROM = 0.85;
const FALL_S = 0.5;
/** Where only the speed tells that it was a blip, every cylinder must dip to this part of its idle. */
const EACH_DIPS_TO = 0.85;
/**
 * Let go again, the quick engine pulls more than at idle: by this part of the vacuum from one time to another after it
 * [s], or the speed is higher within a time [s]. The cycles of the blip itself change too quickly to be followed.
 */
const LEAST_OVERSHOOT = 0.1;
const OVERSHOOT_FROM_S = 0.1;
const OVERSHOOT_TO_S = 0.7;
const LEAST_SPEED_RISE = 0.1;
const SPEED_RISE_S = 1.5;
/** The idle must be back to this part within this time [s]. */
const BACK_TO = 0.75;
const BACK_WITHIN_S = 3;

export function throttleBlips(record: BlipRecord, smoothed = smoothedVacuum(record)): Blip[] {
  const { together, startS, stepS } = smoothed;
  const blips: Blip[] = [];
  for (let open = 1; open < together.length; open++) {
    if (!(together[open]! < OPEN_BELOW && together[open - 1]! >= OPEN_BELOW)) continue;
    let shut = open;
    while (shut < together.length && !(together[shut]! >= OPEN_BELOW)) shut++;
    if (shut >= together.length) break;
    const blip = { openS: startS + open * stepS, shutS: startS + shut * stepS };
    if (isBlip(record, smoothed, open, shut, blip)) blips.push(blip);
    open = shut;
  }
  return blips;
}

function isBlip(
  record: BlipRecord,
  smoothed: SmoothedVacuum,
  open: number,
  shut: number,
  blip: Blip,
): boolean {
  const { together, stepS } = smoothed;
  const steps = (lengthS: number): number => Math.round(lengthS / stepS);
  const lengthS = (shut - open) * stepS;
  if (lengthS < SHORTEST_S || lengthS > LONGEST_S) return false;
  const before = together.subarray(Math.max(0, open - steps(FALL_S)), open);
  if (!before.some((share) => share >= FALLEN_FROM)) return false;
  if (!together.subarray(shut, shut + steps(BACK_WITHIN_S)).some((share) => share >= BACK_TO)) return false;
  const overshot = most(
    smoothed,
    shut + steps(OVERSHOOT_FROM_S),
    shut + steps(OVERSHOOT_TO_S),
    (shares) => mean(shares) > 1 + LEAST_OVERSHOOT,
  );
  const dipped = (): boolean => most(smoothed, open, shut, (shares) => Math.min(...shares) < EACH_DIPS_TO);
  return overshot || (dipped() && speedRose(record, blip));
}

/** Whether every cylinder was so; one of three or more may have a blocked hose. */
function most(
  { kpa, idleKpa }: SmoothedVacuum,
  from: number,
  to: number,
  is: (shares: readonly number[]) => boolean,
): boolean {
  let known = 0;
  let so = 0;
  kpa.forEach((column, cylinder) => {
    const idle = idleKpa[cylinder] ?? null;
    if (idle === null) return;
    known++;
    if (
      is(
        Array.from(column.subarray(from, to), (value) => value / idle).filter((share) => share - share === 0),
      )
    )
      so++;
  });
  return so >= (known > 2 ? known - 1 : known);
}

/** Running means over one cycle of the idle. */
export function smoothedVacuum(record: BlipRecord): SmoothedVacuum {
  const { timeS, vacuumKpa, cycleSpeedRpm, revolutions } = record;
  const rpm = median(cycleSpeedRpm);
  const halfS = 0.5 * (rpm === null || rpm <= 0 ? USUAL_CYCLE_S : (60 * revolutions) / rpm);
  const rows = timeS.length;
  const startS = rows === 0 ? 0 : timeS[0]!;
  const points = rows === 0 ? 0 : Math.floor((timeS[rows - 1]! - startS) / GRID_STEP_S) + 1;
  const kpa = vacuumKpa.map((column) => runningMean(timeS, column, startS, points, halfS));
  const idleKpa = kpa.map((column) => {
    const idle = median([...column].filter((value) => value - value === 0));
    return idle !== null && idle >= LEAST_IDLE_KPA ? idle : null;
  });
  const together = new Float64Array(points);
  for (let index = 0; index < points; index++) {
    const shares: number[] = [];
    kpa.forEach((column, cylinder) => {
      const share = column[index]! / (idleKpa[cylinder] ?? Number.NaN);
      if (share - share === 0) shares.push(share);
    });
    shares.sort((a, b) => a - b);
    together[index] = shares.length === 0 ? Number.NaN : shares[(shares.length - 1) >> 1]!;
  }
  return { startS, stepS: GRID_STEP_S, kpa, idleKpa, together };
}

function runningMean(
  timeS: ArrayLike<number>,
  values: ArrayLike<number>,
  startS: number,
  points: number,
  halfS: number,
): Float64Array {
  const out = new Float64Array(points);
  let from = 0;
  let to = 0;
  let sum = 0;
  let count = 0;
  const add = (row: number, sign: 1 | -1): void => {
    const value = values[row]!;
    if (value - value !== 0) return;
    sum += sign * value;
    count += sign;
  };
  for (let index = 0; index < points; index++) {
    const middleS = startS + index * GRID_STEP_S;
    while (to < timeS.length && timeS[to]! <= middleS + halfS) add(to++, 1);
    while (from < to && timeS[from]! < middleS - halfS) add(from++, -1);
    out[index] = count > 0 && count * 2 >= to - from ? sum / count : Number.NaN;
  }
  return out;
}

function speedRose({ cycleTimeS, cycleSpeedRpm }: BlipRecord, { openS, shutS }: Blip): boolean {
  const idle = median(cycleSpeedRpm);
  return (
    idle !== null &&
    cycleTimeS.some(
      (timeS, at) =>
        timeS > openS && timeS < shutS + SPEED_RISE_S && cycleSpeedRpm[at]! > (1 + LEAST_SPEED_RISE) * idle,
    )
  );
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
