import { analyseRecording } from '../../server/signal/analyse-recording.ts';
import { defaultEngineSetup } from '../../server/signal/engine-setup.ts';
import { holdTest } from '../../server/signal/leak/hold-test.ts';
import { refillSlope } from '../../server/signal/leak/refill-slope.ts';
import { spotSeries } from '../../server/signal/leak/spot-series.ts';
import { spotTest } from '../../server/signal/leak/spot-test.ts';
import type { AnalyseOptions } from '../truth/analyser.ts';
import type { LeakTester, SpotVerdict } from '../truth/leak-judges.ts';
import { holdRows, spotRows } from './accuracy-leaks.ts';
import { type OpeningTeller, openingRow } from './accuracy-openings.ts';
import type { AccuracyRow } from './accuracy-row.ts';
import { plannedSpotRows } from './planned-spots.ts';
import { twoOpeningRows } from './two-opening.ts';

export interface LeakTestOptions {
  /** Chooses the cases; the same seed gives the same rows. Default 1. */
  readonly seed?: number;
  /** Share of the full number of cases, 0…1 or more. Default 1. */
  readonly scale?: number;
  /** Told of each group of rows as it is done. */
  readonly onRows?: (rows: readonly AccuracyRow[]) => void;
}

/** Full numbers of cases: a thousand or more judgements each. */
const CASES = { holds: 1000, openings: 350, twoOpenings: 350, spotsPressedOnce: 130, spotsPlanned: 80 };

/** The leak and condition checks held to their bounds on engines and vessels with known faults. */
export function rows(options: LeakTestOptions = {}): AccuracyRow[] {
  const seed = options.seed ?? 1;
  const many = (count: number): number => Math.max(3, Math.round(count * (options.scale ?? 1)));
  const groups: readonly (() => AccuracyRow[])[] = [
    () => holdRows(leakTester, many(CASES.holds), seed),
    () => [openingRow(openingTeller, many(CASES.openings), seed + 100)],
    () => twoOpeningRows(many(CASES.twoOpenings), seed),
    () => plannedSpotRows(many(CASES.spotsPlanned), seed + 300),
    () => spotRows(leakTester, many(CASES.spotsPressedOnce), seed + 200),
  ];
  return groups.flatMap((group) => {
    const found = group();
    options.onRows?.(found);
    return found;
  });
}

const VERDICTS: Record<ReturnType<typeof spotTest>[number]['verdict'], SpotVerdict> = {
  found: 'leak',
  'not-found': 'no-leak',
  'cannot-tell': 'not-sure',
};

/** Idlewright's own leak tests behind the judges' interface; here each spot is pressed once. */
export const leakTester: LeakTester = {
  spotVerdicts(timeS, kpa, options, spots) {
    const presses = spots.map((times, at) => ({ ...times, spot: `spot ${at + 1}` }));
    const series = spotSeries(cyclesOf(timeS, kpa, options), options.strokes === 4 ? 2 : 1);
    return spotTest(presses, series).map(({ verdict }) => VERDICTS[verdict]);
  },
  holdKpaPerS: (timeS, kpa, barometricKpa) =>
    holdTest(timeS, kpa, { barometricKpa }).chokedKpaPerS?.value ?? null,
};

export const openingTeller: OpeningTeller = (timeS, kpa, options) => {
  const cycles = cyclesOf(timeS, kpa, options);
  return kpa.map(
    (column, cylinder) =>
      refillSlope({ timeS, kpa: column, cycles: cycles[cylinder]!, barometricKpa: options.baroKpa }).slope
        ?.kpaPerS ?? null,
  );
};

function cyclesOf(timeS: Float64Array, kpa: readonly Float64Array[], options: AnalyseOptions) {
  const setup = {
    ...defaultEngineSetup(kpa.length),
    strokes: options.strokes,
    barometricKpa: options.baroKpa,
  };
  return analyseRecording(timeS, kpa, setup, { keepCycles: true }).cylinders.map((one) => one.cycleTable);
}
