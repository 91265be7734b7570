import { refillEngine } from '../engines/refill-engine.ts';
import type { AnalyseOptions } from '../truth/analyser.ts';
import { addError, errorTally, rootMeanSquare } from '../truth/error-tally.ts';
import { cases } from '../truth/grid.ts';
import { type AccuracyRow, accuracyRow, type LabelledFigure } from './accuracy-row.ts';

/** Tells each cylinder's air opening over its port volume, in any unit common to all; null where it cannot be told. */
export type OpeningTeller = (
  timeS: Float64Array,
  kpa: readonly Float64Array[],
  options: AnalyseOptions,
) => readonly (number | null)[];

const RATIO_PERCENT = 4;
/** Share of cylinders about which a teller may be silent. */
const MOST_SILENT = 0.1;

/** Idling engines of refilling ports with openings up to a fifth apart. */
export function openingRow(tell: OpeningTeller, count: number, seed: number): AccuracyRow {
  const all = errorTally();
  const figures: LabelledFigure[] = [];
  let silent = 0;
  let cylinders = 0;
  const list = cases(count, seed, {
    minRpm: 700,
    maxRpm: 1300,
    troubles: ['healthy'],
    minCylinders: 2,
    minSamplesPerCycle: 40,
    change: (spec, random) => ({
      ...spec,
      opening: spec.intakeAnglesDeg.map(() => random.between(0.85, 1.15)),
    }),
  });
  for (const { spec, label } of list) {
    const { timeS, kpa, truth } = refillEngine(spec);
    const told = tell(timeS, kpa, { baroKpa: truth.baroKpa, strokes: spec.strokes ?? 4 });
    const mine = errorTally();
    const pairs = told.flatMap((value, i) =>
      value === null ? [] : [{ told: value, true: truth.refillKpaPerS[i]! }],
    );
    silent += told.length - pairs.length;
    cylinders += told.length;
    const [first, ...others] = pairs;
    for (const other of others) {
      const percent = 100 * (other.told / first!.told / (other.true / first!.true) - 1);
      addError(mine, percent);
      addError(all, percent);
    }
    figures.push({ label, value: mine.greatest });
  }
  const within = rootMeanSquare(all);
  return accuracyRow(
    'air opening between cylinders from refill slopes at idle, error of the ratio',
    '%',
    figures,
    {
      pooled: within,
      bound: `<= ${RATIO_PERCENT} rms`,
      holds: within <= RATIO_PERCENT && silent <= MOST_SILENT * cylinders,
      reference: `figure: greatest of a case's cylinders; ${silent} of ${cylinders} cylinders not told`,
    },
  );
}
