import {
  type BlipRun,
  blipCount,
  blipInPractice,
  blipOfRefilling,
} from '../server/signal/condition/blip-runs.ts';
import {
  type DropRun,
  deadFound,
  dropInPractice,
  dropOfToldEngine,
} from '../server/signal/condition/drop-runs.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

export interface ConditionOptions {
  readonly seed?: number;
  /** Share of the full number of cases. Default 1. */
  readonly scale?: number;
  readonly onRows?: (rows: readonly AccuracyRow[]) => void;
}

/** Full numbers of engines. The practice engine computes every stroke and takes ten times as long. */
const CASES = { drop: 1000, dropPractice: 50, blip: 1000, blipPractice: 120 };
const DEAD_FOUND_PERCENT = 99;
const TORN_FOUND_PERCENT = 95;
const FALSE_PERCENT = 2;

/** Cylinder drop and blip test on engines with known faults; every second one idles rough. */
export function rows(options: ConditionOptions = {}): AccuracyRow[] {
  const first = 10_000 * (options.seed ?? 1);
  const runs = <T>(count: number, run: (seed: number, rough: boolean) => T): T[] =>
    Array.from({ length: Math.max(4, Math.round(count * (options.scale ?? 1))) }, (_, at) =>
      run(first + at, at % 2 === 1),
    );
  const groups: readonly (() => AccuracyRow[])[] = [
    () =>
      dropRows(
        'told engines',
        runs(CASES.drop, (seed, rough) => dropOfToldEngine(seed, seed % 3 === 0, rough)),
      ),
    () =>
      dropRows(
        'practice engines',
        runs(CASES.dropPractice, (seed) => dropInPractice(seed, seed % 3 === 0)),
      ),
    () => blipRows('engines of another make', runs(CASES.blip, blipOfRefilling)),
    () => blipRows('practice engines', runs(CASES.blipPractice, blipInPractice)),
  ];
  return groups.flatMap((group) => {
    const found = group();
    options.onRows?.(found);
    return found;
  });
}

function dropRows(engines: string, runs: readonly DropRun[]): AccuracyRow[] {
  const all = deadFound(runs);
  const told = runs.filter(({ result }) => result.reason === null);
  const asked = deadFound(told);
  const wrong = (100 * all.accused) / all.sound;
  const found = (100 * asked.found) / asked.dead;
  const untold = runs.length - told.length;
  const rough = (run: DropRun): string => `${run.cylinders} cylinders`;
  return [
    accuracyRow(
      `cylinder drop, ${engines}: dead cylinders found`,
      '%',
      told.flatMap((run) => (run.dead === null ? [] : [{ label: rough(run), value: percentFound(run) }])),
      {
        pooled: found,
        bound: `>= ${DEAD_FOUND_PERCENT}`,
        holds: found >= DEAD_FOUND_PERCENT && untold <= 0.1 * runs.length,
        reference: `${asked.found} of ${asked.dead}; ${untold} of ${runs.length} tests asked for a repeat`,
      },
    ),
    accuracyRow(
      `cylinder drop, ${engines}: sound cylinders called dead`,
      '%',
      runs.map((run) => ({ label: rough(run), value: deadFound([run]).accused })),
      {
        pooled: wrong,
        bound: `< ${FALSE_PERCENT}`,
        holds: wrong < FALSE_PERCENT,
        reference: `${all.accused} of ${all.sound}`,
      },
    ),
  ];
}

function percentFound(run: DropRun): number {
  const { dead, found } = deadFound([run]);
  return (100 * found) / dead;
}

function blipRows(engines: string, runs: readonly BlipRun[]): AccuracyRow[] {
  const all = blipCount(runs);
  const found = (100 * all.found) / all.torn;
  const wrong = (100 * all.accused) / all.sound;
  const label = ({ cylinders, blipsS }: BlipRun): string => `${cylinders} cylinders, ${blipsS.length} blips`;
  return [
    accuracyRow(
      `blip test, ${engines}: torn diaphragms found`,
      '%',
      runs.flatMap((run) =>
        run.torn === null ? [] : [{ label: label(run), value: 100 * blipCount([run]).found }],
      ),
      {
        pooled: found,
        bound: `>= ${TORN_FOUND_PERCENT}`,
        holds: found >= TORN_FOUND_PERCENT,
        reference: `${all.found} of ${all.torn}; ${all.untold} of ${all.torn + all.sound} cylinders not told`,
      },
    ),
    accuracyRow(
      `blip test, ${engines}: sound slides called torn`,
      '%',
      runs.map((run) => ({ label: label(run), value: blipCount([run]).accused })),
      {
        pooled: wrong,
        bound: `< ${FALSE_PERCENT}`,
        holds: wrong < FALSE_PERCENT,
        reference: `${all.accused} of ${all.sound}`,
      },
    ),
  ];
}
