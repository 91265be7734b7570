/**
 * Finds the times at which an idling engine lost speed and got it back, as when a cylinder is disabled for a while.
 *
 * The step at a moment is the mean speed of the second and a half after it less that before it. Falls and rises that
 * stand out of what the idle does by itself (`speed-steps.ts`) are paired; a fall that ends in a standstill counts too.
 */
import { believedSteps, HALF_S, type SpeedStep } from './speed-steps.ts';

export interface SpeedDrop {
  /** The cylinder was disabled and enabled again at [s]. */
  readonly startS: number;
  readonly endS: number;
  /** Speed before and after, and while it lasted [r/min]; 0 when the engine stopped. */
  readonly baseRpm: number;
  readonly droppedRpm: number;
  /** Standard uncertainty of the loss [r/min]. */
  readonly uncertaintyRpm: number;
  readonly stalled: boolean;
}

/** Of the stretches that the loss is taken from: how long at most, and how much is left out after a step [s]. */
const BASE_S = 4;
const SETTLE_S = 1;
/** Standard uncertainties by which a loss is sure, and the least share of the largest loss. */
const SURE_SIGMAS = 3;
const LEAST_SHARE = 0.15;
/** Cycles of a stretch without which it has no mean, and blocks of it that its standard error is taken from. */
const FEWEST_CYCLES = 3;
const MOST_BLOCKS = 6;
/** An engine that stalls has left its idle below this part of it. */
const LEFT_IDLE_BELOW = 0.9;
/** No cycle for so long is a standstill [s]. */
const STANDSTILL_S = 1.5;
/** After a restart the speed overshoots: so much is left out [s]. */
const RESTART_S = 2;

/**
 * @param timeS middle of each engine cycle, rising [s]
 * @param speedRpm as many
 * @param recordEndS end of the record, later than the last cycle when the engine stopped
 */
export function speedDrops(
  timeS: readonly number[],
  speedRpm: readonly number[],
  recordEndS: number,
): SpeedDrop[] {
  const runs = splitAtStandstills(timeS, recordEndS);
  const drops: SpeedDrop[] = [];
  for (const [at, run] of runs.entries()) {
    const times = timeS.slice(run.from, run.to);
    const speeds = speedRpm.slice(run.from, run.to);
    const restarted = at > 0;
    drops.push(...dropsOfRun(times, speeds, restarted));
    if (run.stopped && times.length > 0) {
      const nextS = runs[at + 1] === undefined ? recordEndS : timeS[runs[at + 1]!.from]!;
      drops.push(stall(times, speeds, nextS));
    }
  }
  return worthwhile(drops);
}

/** Drops that are sure, and not small beside the largest: the idle's own ups and downs stay out. */
function worthwhile(drops: readonly SpeedDrop[]): SpeedDrop[] {
  const loss = ({ baseRpm, droppedRpm }: SpeedDrop): number => baseRpm - droppedRpm;
  const largest = Math.max(0, ...drops.map(loss));
  return drops.filter(
    (drop) =>
      drop.stalled || (loss(drop) > SURE_SIGMAS * drop.uncertaintyRpm && loss(drop) > LEAST_SHARE * largest),
  );
}

interface Run {
  readonly from: number;
  readonly to: number;
  readonly stopped: boolean;
}

function splitAtStandstills(timeS: readonly number[], recordEndS: number): Run[] {
  const runs: Run[] = [];
  let from = 0;
  for (let at = 1; at <= timeS.length; at++) {
    const next = at < timeS.length ? timeS[at]! : recordEndS;
    const stopped = next - timeS[at - 1]! > STANDSTILL_S;
    if (!stopped && at < timeS.length) continue;
    runs.push({ from, to: at, stopped });
    from = at;
  }
  return runs;
}

function dropsOfRun(timeS: readonly number[], speedRpm: readonly number[], restarted: boolean): SpeedDrop[] {
  if (timeS.length === 0) return [];
  const firstS = timeS[0]! + (restarted ? RESTART_S : 0);
  const lastS = timeS.at(-1)!;
  const mean = meanBetween(timeS, speedRpm);
  const points: SpeedStep[] = [];
  for (const t of timeS) {
    if (t - HALF_S < firstS || t + HALF_S > lastS) continue;
    const before = mean(t - HALF_S, t);
    const after = mean(t, t + HALF_S);
    points.push({ atS: t, step: Math.log(after / before) });
  }
  if (points.length === 0) return [];
  const steps = believedSteps(points);
  const drops: SpeedDrop[] = [];
  for (let at = 0; at + 1 < steps.length; at++) {
    const fall = steps[at]!;
    const rise = steps[at + 1]!;
    if (fall.step >= 0 || rise.step <= 0) continue;
    const previousS = steps[at - 1]?.atS ?? firstS;
    const nextS = steps[at + 2]?.atS ?? lastS;
    const before = stretch(timeS, speedRpm, Math.max(previousS + SETTLE_S, fall.atS - BASE_S), fall.atS);
    const after = stretch(
      timeS,
      speedRpm,
      rise.atS + SETTLE_S,
      Math.min(nextS, rise.atS + SETTLE_S + BASE_S),
    );
    const during = stretch(
      timeS,
      speedRpm,
      Math.min(fall.atS + SETTLE_S, 0.5 * (fall.atS + rise.atS)),
      rise.atS,
    );
    const base = [...before, ...after];
    if (base.length < FEWEST_CYCLES || during.length < FEWEST_CYCLES) continue;
    drops.push({
      startS: fall.atS,
      endS: rise.atS,
      baseRpm: average(base),
      droppedRpm: average(during),
      uncertaintyRpm: Math.hypot(blockError(base), blockError(during)),
      stalled: false,
    });
  }
  return drops;
}

/** The last fall before a standstill: where the speed left the idle for good. */
function stall(timeS: readonly number[], speedRpm: readonly number[], nextS: number): SpeedDrop {
  const sorted = [...speedRpm].sort((a, b) => a - b);
  const idle = sorted[sorted.length >> 1]!;
  let at = timeS.length - 1;
  while (at > 0 && speedRpm[at]! < LEFT_IDLE_BELOW * idle) at--;
  const base = stretch(timeS, speedRpm, timeS[at]! - BASE_S, timeS[at]!);
  return {
    startS: timeS[at]!,
    endS: nextS,
    baseRpm: base.length > 0 ? average(base) : idle,
    droppedRpm: 0,
    uncertaintyRpm: base.length > 1 ? blockError(base) : idle,
    stalled: true,
  };
}

function meanBetween(timeS: readonly number[], values: readonly number[]): (a: number, b: number) => number {
  const sums = [0];
  for (const value of values) sums.push(sums.at(-1)! + value);
  const indexAt = (t: number): number => {
    let low = 0;
    let high = timeS.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (timeS[middle]! < t) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  return (a, b) => {
    const from = indexAt(a);
    const to = Math.max(from + 1, indexAt(b));
    return (sums[to]! - sums[from]!) / (to - from);
  };
}

function stretch(timeS: readonly number[], values: readonly number[], fromS: number, toS: number): number[] {
  return values.filter((_, at) => timeS[at]! >= fromS && timeS[at]! <= toS);
}

function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Standard error of a mean of cycles that wander: from means of a few blocks. */
function blockError(values: readonly number[]): number {
  const blocks = Math.min(MOST_BLOCKS, values.length);
  const means = Array.from({ length: blocks }, (_, block) =>
    average(
      values.slice(
        Math.floor((block * values.length) / blocks),
        Math.floor(((block + 1) * values.length) / blocks),
      ),
    ),
  );
  const mean = average(means);
  const squares = means.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return Math.sqrt(squares / Math.max(1, blocks - 1) / blocks);
}
