/** What the calibration promises, judged on simulated sensors of known error. */
import { type MatchingTrial, matchingTrial, PLAIN_BENCH } from '../calibration/matching-trials.ts';

export interface CalibrationRow {
  readonly what: string;
  readonly figure: number;
  readonly bound: string;
  readonly unit: string;
  readonly holds: boolean;
}

export interface CalibrationOptions {
  /** First of the cases' seeds. Default 1. */
  readonly seed?: number;
  /** Cases of the plain bench; the others have a quarter. Default 1000. */
  readonly cases?: number;
}

const BOUND_KPA = 0.15;

export function calibrationRows({ seed = 1, cases = 1000 }: CalibrationOptions = {}): CalibrationRow[] {
  const few = Math.max(40, Math.round(cases / 4));
  const plain = trials(cases, seed);
  const apart = trials(few, seed + 10_000, { gapKpa: 2 });
  const warm = trials(few, seed + 20_000, { warmerK: 10 });
  const bent = trials(few, seed + 30_000, { bowKpa: 0.25 });
  const pair = trials(few, seed + 40_000, { channels: 2 });
  return [
    error('difference of two matched sensors, true error (k = 2), 30 to 60 kPa', plain),
    {
      what: 'cases whose stated uncertainty (k = 2) is under 0.15 kPa',
      figure: (100 * plain.filter(({ expandedKpa }) => expandedKpa < BOUND_KPA).length) / plain.length,
      bound: '>= 99',
      unit: '%',
      holds: plain.filter(({ expandedKpa }) => expandedKpa < BOUND_KPA).length >= 0.99 * plain.length,
    },
    coverage('stated uncertainty (k = 2) covers the truth', plain, 93, 97),
    coverage('the same of two cylinders that differ by up to 2 kPa', apart, 93, 100),
    coverage('the same 10 K warmer than at the matching', warm, 93, 100),
    error('true error (k = 2) of sensors bent by up to 0.25 kPa', bent),
    coverage('stated uncertainty covers the truth of bent sensors', bent, 93, 100),
    coverage('stated uncertainty covers the truth with two hoses only', pair, 91.5, 98.5),
  ];
}

function trials(count: number, seed: number, change: Partial<typeof PLAIN_BENCH> = {}): MatchingTrial[] {
  return Array.from({ length: count }, (_, at) => matchingTrial(seed + at, { ...PLAIN_BENCH, ...change }));
}

function error(what: string, judged: readonly MatchingTrial[]): CalibrationRow {
  const squares = judged.reduce((sum, { errorKpa }) => sum + errorKpa ** 2, 0);
  const figure = 2 * Math.sqrt(squares / judged.length);
  return { what, figure, bound: `< ${BOUND_KPA}`, unit: 'kPa', holds: figure < BOUND_KPA };
}

function coverage(
  what: string,
  judged: readonly MatchingTrial[],
  least: number,
  most: number,
): CalibrationRow {
  const covered = judged.filter(({ errorKpa, expandedKpa }) => Math.abs(errorKpa) <= expandedKpa).length;
  const figure = (100 * covered) / judged.length;
  return {
    what,
    figure,
    bound: most === 100 ? `>= ${least}` : `${least} to ${most}`,
    unit: '%',
    holds: figure >= least && figure <= most,
  };
}
