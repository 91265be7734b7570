import { median, quantile } from 'simple-statistics';
import { layoutById } from '../../server/practice/layouts.ts';
import { type BalancingCase, balancingCase, TOLERANCE_KPA } from '../server/signal/advice/balancing-case.ts';
import type { BalancingEngine } from '../server/signal/advice/balancing-engine.ts';
import {
  type PracticeBalancingOptions,
  practiceBalancing,
} from '../server/signal/advice/practice-balancing.ts';
import { quickEngine } from '../server/signal/advice/quick-engine.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';
import { turnsByTrial } from './turning-by-trial.ts';

export interface AdviceOptions {
  /** Chooses the cases; the same seed gives the same rows. Default 1. */
  readonly seed?: number;
  /** Share of the full number of cases. Default 1. */
  readonly scale?: number;
  /** Told of each row as it is done. */
  readonly onRows?: (rows: readonly AccuracyRow[]) => void;
}

/** Together a thousand; those on the simulated engine take a hundred times as long as those on its stand-in. */
const QUICK_CASES = 440;
const FULL_CASES = 60;
const SETS = [
  { layout: 'twin-180', name: 'a twin', mostMoves: 3 },
  { layout: 'four-inline', name: 'a four', mostMoves: 8 },
] as const;
/** An interval that covers the truth 95 times in 100 may say 'equal' just outside the tolerance. */
const MOST_FALSELY_EQUAL_PERCENT = 5;
/** A case that was never called equal counts as this many moves. */
const NEVER_MOVES = 99;

interface Judged extends BalancingCase {
  readonly full: boolean;
  readonly byTrial: number;
}

/** Moves until a set is equal, in the hands of someone who follows the advice and turns up to 30 % wrong. */
export function rows(options: AdviceOptions = {}): AccuracyRow[] {
  const seed = options.seed ?? 1;
  const many = (count: number) => Math.max(3, Math.round(count * (options.scale ?? 1)));
  return SETS.flatMap(({ layout, name, mostMoves }, set) => {
    const firstSeed = 100_000 * seed + 10_000 * set;
    const quick = many(QUICK_CASES);
    const cases = [
      ...casesOf(layout, firstSeed, quick, quickEngine, false),
      ...casesOf(layout, firstSeed + quick, many(FULL_CASES), practiceBalancing, true),
    ];
    const seeds = `seeds ${firstSeed}…${firstSeed + cases.length - 1}`;
    const found = [movesRow(name, mostMoves, cases, seeds), falseRow(name, cases, seeds)];
    options.onRows?.(found);
    return found;
  });
}

function casesOf(
  layout: string,
  firstSeed: number,
  count: number,
  newEngine: (options: PracticeBalancingOptions) => BalancingEngine,
  full: boolean,
): Judged[] {
  const screws = layoutById(layout).balanceScrews.length;
  return Array.from({ length: count }, (_, i) => {
    let byTrial = 0;
    const one = balancingCase(layout, firstSeed + i, (engine) => {
      byTrial = turnsByTrial(quickEngine(engine), screws, engine.reference, engine.toleranceKpa);
      return newEngine(engine);
    });
    return { ...one, full, byTrial };
  });
}

function movesRow(name: string, mostMoves: number, cases: readonly Judged[], seeds: string): AccuracyRow {
  const movesOf = ({ equal, moves }: Judged) => (equal ? moves : NEVER_MOVES);
  const moves = cases.map(movesOf);
  const full = cases.filter((one) => one.full);
  const within = (share: number) => quantile(moves, share);
  return accuracyRow(
    `moves until ${name} that is out by up to 8 kPa is called equal within ${TOLERANCE_KPA} kPa, turned ±30 % wrong`,
    'moves',
    cases.map((one) => ({ label: one.label, value: movesOf(one) })),
    {
      pooled: median(moves),
      bound: `<= ${mostMoves} in the middle case, on the simulated engine alone too`,
      holds: median(moves) <= mostMoves && median(full.map(movesOf)) <= mostMoves,
      reference:
        `three in four within ${within(0.75)}, nine in ten within ${within(0.9)}; ` +
        `on the simulated engine (${full.length} cases) median ${median(full.map(movesOf))}; ` +
        `by trial without advice, with a perfect gauge, median ${median(cases.map(({ byTrial }) => byTrial))}; ` +
        `${cases.filter(({ equal }) => !equal).length} never equal; ${seeds}`,
    },
  );
}

function falseRow(name: string, cases: readonly Judged[], seeds: string): AccuracyRow {
  const equal = cases.filter((one) => one.equal);
  const outside = equal.filter(({ worstKpa }) => worstKpa > TOLERANCE_KPA);
  const percent = (100 * outside.length) / equal.length;
  return accuracyRow(
    `worst true gap of ${name} when it is called equal within ${TOLERANCE_KPA} kPa`,
    'kPa',
    equal.map(({ label, worstKpa }) => ({ label, value: worstKpa })),
    {
      pooled: percent,
      bound: `<= ${MOST_FALSELY_EQUAL_PERCENT} % of sets outside`,
      holds: percent <= MOST_FALSELY_EQUAL_PERCENT,
      reference: `${outside.length} of ${equal.length} outside; ${seeds}`,
    },
  );
}
