import { median } from 'simple-statistics';
import type { Analyser } from '../truth/analyser.ts';
import { falseFlags } from '../truth/false-flags.ts';
import { cases, type GridCase } from '../truth/grid.ts';
import { naiveAnalyser } from '../truth/naive-analyser.ts';
import { residualPulsation } from '../truth/residual-pulsation.ts';
import { steadyIdle } from '../truth/steady-idle.ts';
import { type StepResponse, stepResponse } from '../truth/step-response.ts';
import { type AccuracyRow, accuracyRow } from './accuracy-row.ts';

const RESPONSE_CYCLES = 3;
const TIMES_LESS = 50;
const FLAG_CYCLES = 3;
const FALSE_FLAGS_PER_5_MIN = 1;
const FIVE_MINUTES_S = 300;
/** Share of the steps on which a promise about single steps must hold. */
const MOST_STEPS = 0.95;

const STEADY_S = 5;
const AFTER_S = 3;
/** How far the turned screw moves the gap [kPa]. */
const TURNED_GAP_KPA = 3;
const SMALL_STEP_KPA = -1;

/** Scatter of the cycle means of a steady idle [kPa]: the lower end of what engines do. */
const SCATTER_KPA = 0.2;

const IDLES = {
  minRpm: 700,
  maxRpm: 1500,
  troubles: ['healthy'],
  minCylinders: 2,
  minSamplesPerCycle: 25,
  strokes: 4,
} as const;

interface SteppedCase {
  readonly gridCase: GridCase;
  readonly channel: number;
  readonly atS: number;
}

/** Steady idles with one sudden step of one cylinder's level at a random place in the cycle. */
function stepped(count: number, seed: number, kpaFor: (cylinders: number) => number): SteppedCase[] {
  return cases(count, seed, IDLES).map((gridCase, i) => {
    const channel = i % gridCase.spec.intakeAnglesDeg.length;
    const atS = STEADY_S + (((i * 0.618034) % 1) * 120) / gridCase.rpm;
    const spec = {
      ...steadyIdle(gridCase.engine, gridCase.spec, SCATTER_KPA),
      durationS: STEADY_S + AFTER_S,
      levelSteps: [{ channel, atS, kpa: kpaFor(gridCase.spec.intakeAnglesDeg.length) }],
    };
    return { gridCase: { ...gridCase, spec }, channel, atS };
  });
}

/** The mean of all, to which the gap is taken, moves with the cylinder by its share. */
function levelForGap(cylinders: number): number {
  return -TURNED_GAP_KPA / (1 - 1 / cylinders);
}

export function responseRows(analyser: Analyser, count: number, seed: number): AccuracyRow[] {
  const tried = stepped(count, seed, levelForGap).map((step) => ({ step, ...responses(analyser, step) }));
  const figures = tried.map(({ step, ours }) => ({
    label: step.gridCase.label,
    value: ours.cyclesToGap ?? Number.NaN,
  }));
  const inTime =
    tried.filter(({ ours }) => (ours.cyclesToGap ?? 1e9) <= RESPONSE_CYCLES).length / tried.length;
  const stays = tried.filter(
    ({ ours }) => ours.cyclesToStay !== null && ours.cyclesToStay <= RESPONSE_CYCLES + 3,
  ).length;
  const plain = tried.map(({ naive }) => naive.cyclesToGap ?? Number.NaN).filter(Number.isFinite);
  const response: AccuracyRow = accuracyRow(
    `response to a turned screw (${TURNED_GAP_KPA} kPa): gap within 10 % of its new value`,
    'cycles',
    figures,
    {
      pooled: median(figures.map((f) => (Number.isFinite(f.value) ? f.value : 1e9))),
      bound: `<= ${RESPONSE_CYCLES} in ${100 * MOST_STEPS} % of steps`,
      holds: inTime >= MOST_STEPS,
      reference:
        `${(100 * inTime).toFixed(0)} % in time; ${stays} of ${tried.length} stay within 20 % from cycle ${RESPONSE_CYCLES + 3} at the latest; ` +
        `one-second average median ${plain.length > 0 ? median(plain).toFixed(1) : '-'}`,
    },
  );
  const pulsations = tried.map(({ step, ours }) => pulsation(analyser, step, ours));
  const ratios = pulsations.map((p, i) => ({
    label: tried[i]!.step.gridCase.label,
    value: p?.timesLess ?? Number.NaN,
  }));
  const middle = (of: (p: NonNullable<(typeof pulsations)[number]>) => number): string => {
    const values = pulsations
      .filter((p) => p !== null)
      .map(of)
      .filter(Number.isFinite);
    return values.length > 0 ? median(values).toFixed(3) : '-';
  };
  const least = Math.min(...ratios.map((r) => (Number.isFinite(r.value) ? r.value : 0)));
  const residual: AccuracyRow = accuracyRow(
    'residual pulsation: times less than a first-order damper of the same 90 % response time',
    'times',
    ratios,
    {
      pooled: least,
      bound: `>= ${TIMES_LESS}`,
      holds: least >= TIMES_LESS,
      reference:
        `medians, kPa rms: display ${middle((p) => p.displayedKpa)}, newest cycle ${middle((p) => p.lastCycleKpa)}, ` +
        `damper ${middle((p) => p.damperKpa)}, one-second average ${middle((p) => p.movingAverageKpa)}`,
    },
  );
  return [response, residual];
}

function responses(
  analyser: Analyser,
  { gridCase, channel, atS }: SteppedCase,
): { ours: StepResponse; naive: StepResponse } {
  const recording = gridCase.engine(gridCase.spec);
  return {
    ours: stepResponse(analyser, recording, channel, atS),
    naive: stepResponse(naiveAnalyser, recording, channel, atS),
  };
}

/** The same engine and sensors without step and without scatter: all that is left is pulsation and noise. */
function pulsation(analyser: Analyser, { gridCase, channel }: SteppedCase, response: StepResponse) {
  if (response.secondsToGap === null) return null;
  const still = {
    ...gridCase.spec,
    levelSteps: [],
    cycleScatter: 0,
    wander: { sd: 0, correlation: 0 },
    depthScatter: 0,
    speedRipple: 0,
  };
  return residualPulsation(analyser, gridCase.engine(still), channel, STEADY_S, response.secondsToGap);
}

export function flagRows(analyser: Analyser, count: number, idles: number, seed: number): AccuracyRow[] {
  const tried = stepped(count, seed, () => SMALL_STEP_KPA).map((step) => {
    const recording = step.gridCase.engine(step.gridCase.spec);
    return { step, response: stepResponse(analyser, recording, step.channel, step.atS) };
  });
  const ready = tried.filter(({ response }) => response.steadyBefore);
  const figures = tried.map(({ step, response }) => ({
    label: step.gridCase.label,
    value: response.steadyBefore ? (response.cyclesToFlag ?? Number.NaN) : Number.NaN,
  }));
  const inTime = ready.filter(({ response }) => (response.cyclesToFlag ?? 1e9) <= FLAG_CYCLES).length;
  const known = figures.map((f) => f.value).filter(Number.isFinite);
  const flagged = accuracyRow('a 1 kPa step is flagged as moving', 'cycles', figures, {
    pooled: known.length > 0 ? median(known) : Number.NaN,
    bound: `<= ${FLAG_CYCLES} in ${100 * MOST_STEPS} % of steps`,
    holds: inTime >= MOST_STEPS * tried.length,
    reference: `${inTime} of ${tried.length} in time; ${ready.length} were steady before the step`,
  });
  return [flagged, falseFlagRow(analyser, idles, seed)];
}

function falseFlagRow(analyser: Analyser, idles: number, seed: number): AccuracyRow {
  const watched = cases(idles, seed + 1, { ...IDLES, sampleRatesHz: [250, 500] }).map((gridCase) => {
    const spec = {
      ...steadyIdle(gridCase.engine, gridCase.spec, SCATTER_KPA),
      durationS: STEADY_S + FIVE_MINUTES_S,
    };
    return { label: gridCase.label, ...falseFlags(analyser, gridCase.engine(spec), STEADY_S) };
  });
  const perFiveMinutes = watched.reduce((sum, w) => sum + w.flags, 0) / idles;
  const steady = watched.reduce((sum, w) => sum + w.steadyShare, 0) / idles;
  const figures = watched.map((w) => ({ label: w.label, value: w.flags }));
  return accuracyRow('false flags in five minutes of steady idle, all cylinders together', 'flags', figures, {
    pooled: perFiveMinutes,
    bound: `< ${FALSE_FLAGS_PER_5_MIN}`,
    holds: perFiveMinutes < FALSE_FLAGS_PER_5_MIN && steady > 0.9,
    reference: `all steady ${(100 * steady).toFixed(1)} % of the time`,
  });
}
