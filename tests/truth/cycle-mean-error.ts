import type { EngineTruth } from '../engines/engine-truth.ts';
import type { Analysis, CycleRow } from './analyser.ts';
import { addError, type ErrorTally, errorTally } from './error-tally.ts';

export interface CycleMeanErrors {
  /** Reported cycle mean less the clean mean over the very window that was reported [kPa]. */
  readonly window: ErrorTally;
  /** Reported cycle mean less the clean mean over exactly one true cycle from the window's start [kPa]. */
  readonly wholeCycle: ErrorTally;
  /** Reported cycle mean less the clean mean of the true cycle in which the window's middle lies [kPa]. */
  readonly nearest: ErrorTally;
  /** Windows that are not one whole cycle of the crank: more than 20 % off. */
  readonly notOneCycle: number;
  /** Share of the true cycles in which the middle of some window of one cycle's length lies. */
  readonly covered: number;
}

/** How far a window's length may be from a cycle's before it is another harmonic and not a cycle at all. */
export const HARMONIC_TOLERANCE = 0.2;

export function cycleMeanErrors(
  analysis: Analysis,
  truth: EngineTruth,
  channels: readonly number[],
): CycleMeanErrors {
  const window = errorTally();
  const wholeCycle = errorTally();
  const nearest = errorTally();
  let notOneCycle = 0;
  let cycles = 0;
  let coveredCycles = 0;
  for (const channel of channels) {
    const rows = analysis.cylinders[channel]!.cycleTable;
    const starts = truth.cycleStartsS[channel]!;
    const seen = new Uint8Array(starts.length);
    for (const row of rows) {
      if (isOffLength(row, truth)) notOneCycle++;
      addError(window, row.meanVacuumKpa - truth.meanVacuumKpa(channel, row.startS, row.endS));
      const oneCycleLaterS = row.startS + truth.cycleLengthFrom(row.startS);
      addError(wholeCycle, row.meanVacuumKpa - truth.meanVacuumKpa(channel, row.startS, oneCycleLaterS));
      const k = cycleAtMiddle(row, starts);
      if (k < 0) continue;
      if (!isOffLength(row, truth)) seen[k] = 1;
      addError(nearest, row.meanVacuumKpa - truth.meanVacuumKpa(channel, starts[k]!, starts[k + 1]!));
    }
    cycles += Math.max(starts.length - 1, 0);
    coveredCycles += seen.reduce((a, b) => a + b, 0);
  }
  return {
    window,
    wholeCycle,
    nearest,
    notOneCycle,
    covered: cycles === 0 ? Number.NaN : coveredCycles / cycles,
  };
}

function isOffLength(row: CycleRow, truth: EngineTruth): boolean {
  const ratio = (row.endS - row.startS) / truth.cycleLengthFrom(row.startS);
  return Math.abs(ratio - 1) > HARMONIC_TOLERANCE;
}

/** Index of the true cycle in which the window's middle lies; -1 outside the recording's whole cycles. */
function cycleAtMiddle(row: CycleRow, starts: Float64Array): number {
  const middle = 0.5 * (row.startS + row.endS);
  let low = 0;
  let high = starts.length - 1;
  if (high < 1 || middle < starts[0]! || middle >= starts[high]!) return -1;
  while (high - low > 1) {
    const k = (low + high) >> 1;
    if (starts[k]! <= middle) low = k;
    else high = k;
  }
  return low;
}
