import { seededRandom } from '../engines/seeded-random.ts';
import { type PlannedRun, plannedSpots } from '../server/signal/leak/planned-spots.ts';
import { steadyIdle } from '../truth/steady-idle.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';
import { spotEngine } from './spot-engine.ts';

const LAYOUTS = ['twin 360', 'twin 270-450', 'triple 240', 'four 180'];
const SCATTER_KPA = 0.2;

/** The spot test as the guided check makes it: every spot three times for six seconds, dummies between. */
export function plannedSpotRows(count: number, seed: number): AccuracyRow[] {
  const runs = Array.from({ length: count }, (_, at) => runOf(seed, at));
  const tally = (leaks: boolean) => {
    const spots = runs.flatMap(({ label, run }) =>
      run.spots.flatMap(({ effect }, spot) =>
        (effect !== 'none') === leaks ? [{ label, found: run.results[spot]!.verdict === 'found' }] : [],
      ),
    );
    const found = spots.filter((one) => one.found).length;
    return {
      pooled: (100 * found) / spots.length,
      reference: `${found} of ${spots.length}`,
      each: spots.map((one) => ({ label: one.label, value: one.found ? 100 : 0 })),
    };
  };
  const sound = tally(false);
  const leaking = tally(true);
  return [
    accuracyRow('spot test, three presses: false alarms at sound spots', '%', sound.each, {
      pooled: sound.pooled,
      bound: '<= 1',
      holds: sound.pooled <= 1,
      reference: sound.reference,
    }),
    accuracyRow(
      'spot test, three presses: leaks found that move the idle by 1 % or a cylinder by 0.5 kPa',
      '%',
      leaking.each,
      {
        pooled: leaking.pooled,
        bound: '>= 95',
        holds: leaking.pooled >= 95,
        reference: leaking.reference,
      },
    ),
  ];
}

function runOf(seed: number, at: number): { label: string; run: PlannedRun } {
  const random = seededRandom(seed, 2500 + at);
  const name = LAYOUTS[at % LAYOUTS.length]!;
  const { engine, base } = spotEngine(random, { seed: seed * 1019 + at, name });
  return {
    label: `#${seed}.${at} ${name} ${base.rpm.toFixed(0)} r/min`,
    run: plannedSpots(engine, steadyIdle(engine, base, SCATTER_KPA), { seed: base.seed }),
  };
}
