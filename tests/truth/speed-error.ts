import type { EngineTruth } from '../engines/engine-truth.ts';
import type { Analysis } from './analyser.ts';
import { HARMONIC_TOLERANCE } from './cycle-mean-error.ts';
import { addError, type ErrorTally, errorTally } from './error-tally.ts';

export interface SpeedErrors {
  /** Reported speed of a cycle against the true one that begins at the same moment [%]; harmonics are left out. */
  readonly percent: ErrorTally;
  /** Cycles whose reported length is more than 20 % from the truth: an octave, another harmonic, or a wild one. */
  readonly harmonics: number;
  readonly cycles: number;
  /** Share of the recording's whole cycles that were reported. */
  readonly covered: number;
}

export function speedErrors(analysis: Analysis, truth: EngineTruth): SpeedErrors {
  const percent = errorTally();
  let harmonics = 0;
  let reportedS = 0;
  let lastEndS = Number.NEGATIVE_INFINITY;
  for (const { startS, endS } of analysis.engineCycles) {
    const trueS = truth.cycleLengthFrom(startS);
    const ratio = (endS - startS) / trueS;
    if (Math.abs(ratio - 1) > HARMONIC_TOLERANCE) harmonics++;
    // Speed is the inverse of length.
    else addError(percent, 100 * (1 / ratio - 1));
    // Time that is told of twice counts once.
    reportedS += Math.max(0, endS - Math.max(startS, lastEndS));
    lastEndS = Math.max(lastEndS, endS);
  }
  const wholeS = wholeCyclesS(truth);
  return {
    percent,
    harmonics,
    cycles: analysis.engineCycles.length,
    covered: wholeS > 0 ? reportedS / wholeS : Number.NaN,
  };
}

/** Time taken by as many whole cycles as fit into the recording [s]. */
function wholeCyclesS(truth: EngineTruth): number {
  const from = truth.angleDegAt(0);
  const cycles = Math.floor((truth.angleDegAt(truth.durationS) - from) / truth.cycleDeg);
  return truth.timeAtAngleDeg(from + cycles * truth.cycleDeg);
}
