import { analyseRecording } from './analyse-recording-of.ts';
import type { Analyser } from './analyser.ts';
import { addError, type ErrorTally, errorTally, mergeTally } from './error-tally.ts';
import type { GridCase } from './grid.ts';
import { type Judgement, judge } from './judge.ts';
import { addCounts, type DetectionCount } from './missed-pulse-score.ts';

export interface CaseResult {
  readonly gridCase: GridCase;
  readonly judgement: Judgement;
}

export interface GridSummary {
  /** All cases together. */
  readonly meanKpa: ErrorTally;
  readonly wholeCycleKpa: ErrorTally;
  readonly nearestKpa: ErrorTally;
  /** One bias per case, with its sign [kPa]. */
  readonly caseBiasKpa: ErrorTally;
  readonly speedPercent: ErrorTally;
  readonly harmonics: number;
  readonly engineCycles: number;
  readonly windowsNotOneCycle: number;
  readonly missed: DetectionCount;
  readonly covered: { readonly means: number; readonly speed: number };
}

/** Makes, analyses and judges each case in turn; one at a time, so that thousands need no more memory than one. */
export function* judgeCases(analyser: Analyser, list: Iterable<GridCase>): Generator<CaseResult> {
  for (const gridCase of list) {
    const recording = gridCase.engine(gridCase.spec);
    yield { gridCase, judgement: judge(recording, analyseRecording(analyser, recording)) };
  }
}

export function summarise(results: Iterable<CaseResult>): GridSummary {
  const meanKpa = errorTally();
  const wholeCycleKpa = errorTally();
  const nearestKpa = errorTally();
  const caseBiasKpa = errorTally();
  const speedPercent = errorTally();
  const missed: DetectionCount = { found: 0, falseAlarms: 0, overlooked: 0 };
  let harmonics = 0;
  let engineCycles = 0;
  let windowsNotOneCycle = 0;
  let meansCovered = 0;
  let speedCovered = 0;
  let judged = 0;
  for (const { judgement } of results) {
    const { means, speed } = judgement;
    mergeTally(meanKpa, means.window);
    mergeTally(wholeCycleKpa, means.wholeCycle);
    mergeTally(nearestKpa, means.nearest);
    if (means.window.count > 0) addError(caseBiasKpa, means.window.sum / means.window.count);
    mergeTally(speedPercent, speed.percent);
    addCounts(missed, judgement.missed);
    harmonics += speed.harmonics;
    engineCycles += speed.cycles;
    windowsNotOneCycle += means.notOneCycle;
    meansCovered += means.covered;
    speedCovered += speed.covered;
    judged++;
  }
  return {
    meanKpa,
    wholeCycleKpa,
    nearestKpa,
    caseBiasKpa,
    speedPercent,
    harmonics,
    engineCycles,
    windowsNotOneCycle,
    missed,
    covered: { means: meansCovered / judged, speed: speedCovered / judged },
  };
}
