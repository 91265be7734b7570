/**
 * Finds the times at which an idling engine lost speed and got it back, as when a cylinder is disabled for a while.
 *
 * The step at a moment is the mean speed of the second and a half after it less that before it. Falls and rises that
 * stand out of what the idle does by itself are paired; a fall that ends in a standstill counts too.
 */

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

/** Stretch of either mean [s]. */
const HALF_S = 1.5;
/** A step counts from this part of the speed on ... */
const LEAST_STEP = 0.012;
/** ... and this many standard deviations of the steps of a steady idle. */
const STEP_SIGMAS = 4;
/** The steps of a steady idle are those at least so far from any that is believed [s]. */
const CLEAR_S = 2;
const FEWEST_QUIET = 8;
/** Of the stretches that the loss is taken from: how long at most, and how much is left out after a step [s]. */
const BASE_S = 4;
const SETTLE_S = 1;
/** A cylinder is enabled again for longer than this [s]: a shorter rise is within one drop. */
const SHORTEST_REST_S = 2.5;
/** Two steps are alike up to this ratio. */
const ALIKE = 3;
/** Standard uncertainties by which a loss is sure, and the least share of the largest loss. */
const SURE_SIGMAS = 3;
const LEAST_SHARE = 0.15;
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
  const points: Step[] = [];
  for (const t of timeS) {
    if (t - HALF_S < firstS || t + HALF_S > lastS) continue;
    const before = mean(t - HALF_S, t);
    const after = mean(t, t + HALF_S);
    points.push({ atS: t, step: Math.log(after / before) });
  }
  if (points.length === 0) return [];
  const steps = believed(points);
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
    if (base.length < 3 || during.length < 3) continue;
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
  while (at > 0 && speedRpm[at]! < 0.9 * idle) at--;
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

interface Step {
  readonly atS: number;
  /** Natural logarithm of the speed after over the speed before. */
  readonly step: number;
}

/**
 * All steps that may be some, less the weakest, one by one, until the rest stand out of what the idle does where none is
 * believed to be. To begin with too many are believed and the idle looks quieter than it is; that mends itself.
 */
function believed(points: readonly Step[]): Step[] {
  let steps = extremes(points);
  for (;;) {
    const limit = STEP_SIGMAS * quietSd(points, steps);
    const weakest = steps.reduce<Step | null>(
      (a, b) => (a !== null && Math.abs(a.step) <= Math.abs(b.step) ? a : b),
      null,
    );
    if (weakest === null || Math.abs(weakest.step) >= limit) return joined(alternating(steps));
    steps = steps.filter((step) => step !== weakest);
  }
}

/** Standard deviation of the steps that lie clear of those believed; infinite while too few do. */
function quietSd(points: readonly Step[], steps: readonly Step[]): number {
  for (const clearS of [CLEAR_S, HALF_S]) {
    const quiet = points.filter(({ atS }) => steps.every((step) => Math.abs(step.atS - atS) > clearS));
    if (quiet.length >= FEWEST_QUIET) return robustSd(quiet.map(({ step }) => step));
  }
  return Number.POSITIVE_INFINITY;
}

/** Of neighbours to the same side the stronger stays: a fall is followed by a rise. */
function alternating(steps: readonly Step[]): Step[] {
  const out: Step[] = [];
  for (const step of steps) {
    const last = out.at(-1);
    if (last === undefined || Math.sign(last.step) !== Math.sign(step.step)) out.push(step);
    else if (Math.abs(step.step) > Math.abs(last.step)) out[out.length - 1] = step;
  }
  return out;
}

/** Leaves out a rise and the fall soon after it that takes it back: the idle's own, within one drop. */
function joined(steps: readonly Step[]): Step[] {
  const out: Step[] = [];
  for (const step of steps) {
    const last = out.at(-1);
    const ratio = last === undefined ? 0 : -step.step / last.step;
    const takenBack =
      last !== undefined &&
      last.step > 0 &&
      ratio > 1 / ALIKE &&
      ratio < ALIKE &&
      step.atS - last.atS < SHORTEST_REST_S;
    if (takenBack) out.pop();
    else out.push(step);
  }
  return alternating(out);
}

/** The strongest step of each stretch to one side. */
function extremes(points: readonly Step[]): Step[] {
  const found: Step[] = [];
  for (const point of points) {
    if (Math.abs(point.step) < LEAST_STEP) continue;
    const last = found.at(-1);
    const same = last !== undefined && Math.sign(last.step) === Math.sign(point.step);
    if (same && point.atS - last.atS < 2 * HALF_S) {
      if (Math.abs(point.step) > Math.abs(last.step)) found[found.length - 1] = point;
    } else found.push(point);
  }
  return found;
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

/** Median size over that of the normal distribution. */
function robustSd(values: readonly number[]): number {
  const sizes = values.map(Math.abs).sort((a, b) => a - b);
  return sizes[sizes.length >> 1]! / 0.6745;
}

function stretch(timeS: readonly number[], values: readonly number[], fromS: number, toS: number): number[] {
  return values.filter((_, at) => timeS[at]! >= fromS && timeS[at]! <= toS);
}

function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Standard error of a mean of cycles that wander: from means of up to six blocks. */
function blockError(values: readonly number[]): number {
  const blocks = Math.min(6, values.length);
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
