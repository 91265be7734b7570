import {
  type TwoOpeningRun,
  twoOpeningsInPractice,
  twoOpeningsOfRefillEngine,
} from '../server/signal/leak/two-opening-runs.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

const RIGHT_PERCENT = 90;
const WRONG_PERCENT = 3;
/** The practice engine computes every stroke: so much fewer of them. */
const PRACTICE_SHARE = 0.05;

/** Leak or linkage from two openings, on engines with at most one cylinder at fault. */
export function twoOpeningRows(count: number, seed: number): AccuracyRow[] {
  const runs = (many: number, run: (seed: number) => TwoOpeningRun): TwoOpeningRun[] =>
    Array.from({ length: many }, (_, at) => run(10_000 * seed + at));
  return [
    ...rowsOf('refilling ports', runs(count, twoOpeningsOfRefillEngine)),
    ...rowsOf(
      'practice engines',
      runs(Math.max(3, Math.round(PRACTICE_SHARE * count)), twoOpeningsInPractice),
    ),
  ];
}

function rowsOf(engines: string, runs: readonly TwoOpeningRun[]): AccuracyRow[] {
  const each = runs.map(({ truth, results }, at) => {
    const told = results.filter(({ verdict }) => verdict !== 'cannot-tell').length;
    const right = results.filter(
      ({ verdict, cause }, cylinder) => verdict !== 'cannot-tell' && (cause ?? 'even') === truth[cylinder],
    ).length;
    return {
      label: `engine ${at}, ${truth.length} cylinders`,
      cylinders: truth.length,
      right,
      wrong: told - right,
    };
  });
  const sum = (key: 'cylinders' | 'right' | 'wrong'): number => each.reduce((all, one) => all + one[key], 0);
  const percent = (key: 'right' | 'wrong'): number => (100 * sum(key)) / sum('cylinders');
  const row = (what: string, key: 'right' | 'wrong', bound: string, holds: boolean): AccuracyRow =>
    accuracyRow(
      `two-opening test, ${engines}: ${what}`,
      '%',
      each.map((one) => ({ label: one.label, value: (100 * one[key]) / one.cylinders })),
      { pooled: percent(key), bound, holds, reference: `${sum(key)} of ${sum('cylinders')} cylinders` },
    );
  return [
    row('right about the cylinder', 'right', `>= ${RIGHT_PERCENT}`, percent('right') >= RIGHT_PERCENT),
    row('wrong about it', 'wrong', `< ${WRONG_PERCENT}`, percent('wrong') < WRONG_PERCENT),
  ];
}
