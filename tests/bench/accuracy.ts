import type { Analyser } from '../truth/analyser.ts';
import { coverageRows } from './accuracy-coverage.ts';
import { cycleMeanRows, missedPulseRow, speedRows } from './accuracy-grid.ts';
import { flagRows, responseRows } from './accuracy-live.ts';
import type { AccuracyRow } from './accuracy-row.ts';

export interface AccuracyOptions {
  /** Chooses the cases; the same seed gives the same rows. Default 1. */
  readonly seed?: number;
  /** Share of the full number of cases, 0…1 or more. Default 1. */
  readonly scale?: number;
  /** Told of each group of rows as it is done. */
  readonly onRows?: (rows: readonly AccuracyRow[]) => void;
}

/** Full numbers of cases. */
const CASES = {
  cycleMeans: 300,
  speed: 600,
  missed: 120,
  coverage: 400,
  steps: 60,
  smallSteps: 60,
  idles: 6,
};

/** Every promise on accuracy that simulated engines with known truth can judge, one row each. */
export function rows(analyser: Analyser, options: AccuracyOptions = {}): AccuracyRow[] {
  const seed = options.seed ?? 1;
  const many = (count: number): number => Math.max(3, Math.round(count * (options.scale ?? 1)));
  const groups: readonly (() => AccuracyRow[])[] = [
    () => cycleMeanRows(analyser, many(CASES.cycleMeans), seed),
    () => speedRows(analyser, many(CASES.speed), seed + 100),
    () => [missedPulseRow(analyser, many(CASES.missed), seed + 200)],
    () => coverageRows(analyser, many(CASES.coverage), seed + 300),
    () => responseRows(analyser, many(CASES.steps), seed + 400),
    () => flagRows(analyser, many(CASES.smallSteps), many(CASES.idles), seed + 500),
  ];
  const all: AccuracyRow[] = [];
  for (const group of groups) {
    const found = group();
    options.onRows?.(found);
    all.push(...found);
  }
  return all;
}
