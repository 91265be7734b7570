import { analyseRecording } from '../truth/analyse-recording-of.ts';
import type { Analyser } from '../truth/analyser.ts';
import { bias, errorTally, rootMeanSquare } from '../truth/error-tally.ts';
import { cases, type GridCase } from '../truth/grid.ts';
import { type CaseResult, summarise } from '../truth/grid-run.ts';
import { HARDWARE_TROUBLES } from '../truth/grid-troubles.ts';
import { judge, soundChannels } from '../truth/judge.ts';
import { f1Score } from '../truth/missed-pulse-score.ts';
import { tryPlainReadings } from './accuracy-plain-readings.ts';
import { type AccuracyRow, accuracyRow, type LabelledFigure } from './accuracy-row.ts';
import { tryYin, yinFigures } from './accuracy-yin.ts';

const IDLE_RPM = { minRpm: 600, maxRpm: 1500 };
const MEAN_RMS_KPA = 0.05;
const MEAN_BIAS_KPA = 0.02;
const SPEED_RMS_PERCENT = 0.3;
const MISSED_F1 = 0.97;
/** Figures of an instrument that reports less than this share of the cycles are no figures. */
const LEAST_COVERED = 0.9;
/** Samples in a cycle from which its shape can be seen and not only its period. */
const DENSE_SAMPLES = 12;

const isHardware = (result: CaseResult): boolean => HARDWARE_TROUBLES.includes(result.gridCase.trouble);
const isEngine = (result: CaseResult): boolean => !isHardware(result);

/** The promise stands for every engine; what bad hoses and sensors do to it is told beside it. */
export function cycleMeanRows(analyser: Analyser, count: number, seed: number): AccuracyRow[] {
  const damper = errorTally();
  const average = errorTally();
  const results: CaseResult[] = [];
  let floor = 0;
  for (const gridCase of cases(count, seed, IDLE_RPM)) {
    const recording = gridCase.engine(gridCase.spec);
    const result = { gridCase, judgement: judge(recording, analyseRecording(analyser, recording)) };
    results.push(result);
    if (isHardware(result)) continue;
    const [channel] = soundChannels(recording);
    if (channel !== undefined) tryPlainReadings(damper, average, recording, channel);
    floor += noiseFloorKpa(gridCase) ** 2;
  }
  const engines = results.filter(isEngine);
  const summary = summarise(engines);
  const hardware = summarise(results.filter(isHardware));
  const enough = summary.covered.means >= LEAST_COVERED;
  const rowOf = (what: string, of: 'window' | 'wholeCycle', rms: number, reference: string): AccuracyRow =>
    accuracyRow(
      what,
      'kPa rms',
      figures(engines, (r) => rootMeanSquare(r.judgement.means[of])),
      {
        pooled: rms,
        bound: `<= ${MEAN_RMS_KPA}`,
        holds: rms <= MEAN_RMS_KPA && enough,
        reference,
      },
    );
  const rmsOfBiases = rootMeanSquare(summary.caseBiasKpa);
  return [
    rowOf(
      'cycle mean at idle, per cycle, over the window that was told',
      'window',
      rootMeanSquare(summary.meanKpa),
      `${(100 * summary.covered.means).toFixed(1)} % of cycles reported; ` +
        `noise alone leaves ${Math.sqrt(floor / engines.length).toFixed(3)}; ` +
        `with bad hoses and sensors ${rootMeanSquare(hardware.meanKpa).toFixed(3)}; ` +
        `first-order damper ${rootMeanSquare(damper).toFixed(2)}, one-second average ${rootMeanSquare(average).toFixed(2)}`,
    ),
    rowOf(
      'cycle mean at idle, per cycle, over exactly one true cycle from the same start',
      'wholeCycle',
      rootMeanSquare(summary.wholeCycleKpa),
      `with bad hoses and sensors ${rootMeanSquare(hardware.wholeCycleKpa).toFixed(3)}; ` +
        `against the same cylinder's own cycle at that time ${rootMeanSquare(summary.nearestKpa).toFixed(3)}`,
    ),
    accuracyRow(
      'bias of the cycle mean at idle, per case',
      'kPa',
      figures(engines, (r) => Math.abs(bias(r.judgement.means.window))),
      {
        pooled: rmsOfBiases,
        bound: `<= ${MEAN_BIAS_KPA}`,
        holds: rmsOfBiases <= MEAN_BIAS_KPA && enough,
        reference: `all cycles together ${bias(summary.meanKpa).toFixed(4)}; one-second average ${bias(average).toFixed(4)}`,
      },
    ),
  ];
}

/** What white noise and rounding leave in the plain mean of a cycle's samples. */
function noiseFloorKpa({ spec, samplesPerCycle }: GridCase): number {
  const stepKpa = spec.bits ? 100 / (2 ** spec.bits - 1) : 0;
  return Math.sqrt(((spec.noiseKpa ?? 0) ** 2 + stepKpa ** 2 / 12) / samplesPerCycle);
}

export function speedRows(analyser: Analyser, count: number, seed: number): AccuracyRow[] {
  const yin = yinFigures();
  const results: CaseResult[] = [];
  let spentMs = 0;
  let dataS = 0;
  for (const gridCase of cases(count, seed)) {
    const recording = gridCase.engine(gridCase.spec);
    const begin = performance.now();
    const analysis = analyseRecording(analyser, recording);
    spentMs += performance.now() - begin;
    dataS += gridCase.spec.durationS;
    results.push({ gridCase, judgement: judge(recording, analysis) });
    const [channel] = soundChannels(recording);
    if (channel !== undefined && gridCase.trouble === 'healthy') tryYin(yin, recording, channel);
  }
  const all = summarise(results);
  const engines = results.filter(isEngine);
  const summary = summarise(engines);
  const dense = summarise(engines.filter((r) => r.gridCase.samplesPerCycle >= DENSE_SAMPLES));
  const hardware = summarise(results.filter(isHardware));
  const rms = rootMeanSquare(summary.speedPercent);
  const wrong = all.harmonics + all.windowsNotOneCycle;
  const enough = summary.covered.speed >= LEAST_COVERED;
  return [
    accuracyRow(
      'engine speed, every cycle',
      '% rms',
      figures(engines, (r) => rootMeanSquare(r.judgement.speed.percent)),
      {
        pooled: rms,
        bound: `<= ${SPEED_RMS_PERCENT}`,
        holds: rms <= SPEED_RMS_PERCENT && enough,
        reference:
          `${(100 * summary.covered.speed).toFixed(1)} % of cycles reported; ` +
          `with ${DENSE_SAMPLES} or more samples in a cycle ${rootMeanSquare(dense.speedPercent).toFixed(3)}; ` +
          `with bad hoses and sensors ${rootMeanSquare(hardware.speedPercent).toFixed(3)}; ` +
          `YIN on one healthy channel, one-second windows, ${rootMeanSquare(yin.percent).toFixed(2)}, ` +
          `${((1000 * yin.spentMs) / yin.windows).toFixed(0)} us a window; ` +
          `ours ${((1000 * spentMs) / dataS).toFixed(0)} us per second of all channels`,
      },
    ),
    accuracyRow(
      'cycles more than 20 % from the true length (octaves, harmonics), all troubles included',
      'cycles',
      figures(results, (r) => r.judgement.speed.harmonics + r.judgement.means.notOneCycle),
      {
        pooled: wrong,
        bound: '= 0',
        holds: wrong === 0 && enough,
        reference:
          `of ${all.engineCycles} engine cycles; healthy engines and engine troubles alone ` +
          `${summary.harmonics + summary.windowsNotOneCycle}; YIN ${yin.harmonics} of ${yin.windows} windows`,
      },
    ),
  ];
}

export function missedPulseRow(analyser: Analyser, count: number, seed: number): AccuracyRow {
  const results: CaseResult[] = [];
  for (const gridCase of cases(count, seed, { troubles: ['missed pulses'] })) {
    const recording = gridCase.engine(gridCase.spec);
    results.push({ gridCase, judgement: judge(recording, analyseRecording(analyser, recording)) });
  }
  const { missed } = summarise(results);
  const dense = summarise(results.filter((r) => r.gridCase.samplesPerCycle >= DENSE_SAMPLES)).missed;
  const f1 = f1Score(missed);
  const lost = figures(results, (r) => 1 - f1Score(r.judgement.missed));
  return accuracyRow('missed pulses at known places, 10 % combustion scatter', '1 - F1', lost, {
    pooled: 1 - f1,
    bound: `<= ${(1 - MISSED_F1).toFixed(2)}`,
    holds: f1 >= MISSED_F1 && missed.found > 0,
    reference: `F1 ${f1.toFixed(4)}: ${missed.found} found, ${missed.falseAlarms} false, ${missed.overlooked} overlooked; with ${DENSE_SAMPLES} or more samples in a cycle ${f1Score(dense).toFixed(4)}`,
  });
}

function figures(results: readonly CaseResult[], of: (result: CaseResult) => number): LabelledFigure[] {
  return results.map((result) => ({ label: result.gridCase.label, value: of(result) }));
}
