import { holdVessel } from '../engines/hold-vessel.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { spotScenario } from '../engines/spot-scenario.ts';
import { bias, rootMeanSquare } from '../truth/error-tally.ts';
import {
  holdFigures,
  judgeHold,
  judgeSpots,
  type LeakTester,
  type SpotCount,
  spotCount,
} from '../truth/leak-judges.ts';
import { steadyIdle } from '../truth/steady-idle.ts';
import { type AccuracyRow, accuracyRow, type LabelledFigure } from './accuracy-row.ts';
import { spotEngine } from './spot-engine.ts';

const FALSE_ALARM_PERCENT = 1;
const DETECTED_PERCENT = 95;
const HOLD_PERCENT = 3;
/** A false 'cannot tell' on a record with plenty in it is no honesty. */
const MOST_WITHHELD = 0.05;

const LAYOUTS = ['twin 360', 'twin 270-450', 'triple 240', 'four 180', 'six 120'];
const SCATTER_KPA = 0.2;

export function spotRows(tester: LeakTester, count: number, seed: number): AccuracyRow[] {
  const all = spotCount();
  const alarms: LabelledFigure[] = [];
  const missed: LabelledFigure[] = [];
  for (let i = 0; i < count; i++) {
    const random = seededRandom(seed, 2000 + i);
    const name = LAYOUTS[i % LAYOUTS.length]!;
    const { engine, base } = spotEngine(random, { seed: seed * 1009 + i, name });
    const scenario = spotScenario(engine, steadyIdle(engine, base, SCATTER_KPA), { seed: base.seed });
    const { timeS, kpa, truth } = scenario.recording;
    const times = scenario.spots.map(({ startS, endS }) => ({ startS, endS }));
    const mine = spotCount();
    const verdicts = tester.spotVerdicts(timeS, kpa, { baroKpa: truth.baroKpa, strokes: 4 }, times);
    judgeSpots(mine, scenario, verdicts);
    judgeSpots(all, scenario, verdicts);
    const label = `#${seed}.${i} ${name} ${base.rpm.toFixed(0)} r/min`;
    alarms.push({ label, value: falseAlarmPercent(mine) });
    if (mine.leaking > 0) missed.push({ label, value: detectedPercent(mine) });
  }
  return [
    accuracyRow(
      'spot test: false alarms at sound spots',
      '%',
      alarms.filter((f) => Number.isFinite(f.value)),
      {
        pooled: falseAlarmPercent(all),
        bound: `<= ${FALSE_ALARM_PERCENT}`,
        holds: falseAlarmPercent(all) <= FALSE_ALARM_PERCENT,
        reference: `${all.falseAlarms} of ${all.sound}; ${all.notSure} of ${all.sound + all.leaking} spots not sure`,
      },
    ),
    accuracyRow('spot test: leaks found that move the idle by 1 % or a cylinder by 0.5 kPa', '%', missed, {
      pooled: detectedPercent(all),
      bound: `>= ${DETECTED_PERCENT}`,
      holds: detectedPercent(all) >= DETECTED_PERCENT,
      reference: `${all.detected} of ${all.leaking}`,
    }),
  ];
}

function falseAlarmPercent(count: SpotCount): number {
  return (100 * count.falseAlarms) / count.sound;
}

function detectedPercent(count: SpotCount): number {
  return (100 * count.detected) / count.leaking;
}

export function holdRows(tester: LeakTester, count: number, seed: number): AccuracyRow[] {
  const long = holdFigures();
  const short = holdFigures();
  const errors: LabelledFigure[] = [];
  for (let i = 0; i < count; i++) {
    const random = seededRandom(seed, 3000 + i);
    const spec = {
      seed: seed * 1013 + i,
      sampleRateHz: 50,
      baroKpa: random.between(88, 104),
      startKpa: random.between(30, 60),
      noiseKpa: random.between(0.05, 0.2),
      bits: 10,
    };
    // Long: the pressure rises by 15 kPa or more. Short: by less than the noise of a few samples.
    const chokedKpaPerS = 10 ** random.between(-0.7, 0.7);
    const plenty = holdVessel({ ...spec, chokedKpaPerS, durationS: random.between(15, 40) / chokedKpaPerS });
    const estimate = tester.holdKpaPerS(plenty.timeS, plenty.kpa, spec.baroKpa);
    judgeHold(long, plenty, estimate);
    if (estimate !== null) {
      errors.push({
        label: `#${seed}.${i} ${chokedKpaPerS.toFixed(2)} kPa/s`,
        value: Math.abs(100 * (estimate / chokedKpaPerS - 1)),
      });
    }
    const scant = holdVessel({ ...spec, chokedKpaPerS: 0.002, durationS: 4 });
    judgeHold(short, scant, tester.holdKpaPerS(scant.timeS, scant.kpa, spec.baroKpa));
  }
  const within = errors.filter((e) => e.value <= HOLD_PERCENT).length / count;
  return [
    accuracyRow('hold test: leak conductance against truth, error', '%', errors, {
      pooled: rootMeanSquare(long.percent),
      bound: `<= ${HOLD_PERCENT}`,
      holds: rootMeanSquare(long.percent) <= HOLD_PERCENT && long.withheld <= MOST_WITHHELD * count,
      reference: `bias ${bias(long.percent).toFixed(2)}; ${(100 * within).toFixed(1)} % of vessels within; ${long.withheld} of ${count} withheld`,
    }),
    accuracyRow(
      'hold test: records too short to tell that got a figure all the same',
      '%',
      [{ label: `#${seed} all`, value: (100 * short.told) / count }],
      {
        pooled: (100 * short.told) / count,
        bound: '<= 5',
        holds: short.told <= MOST_WITHHELD * count,
        reference: `a leak of 0.002 kPa/s watched for 4 s; ${short.told} of ${count}`,
      },
    ),
  ];
}
