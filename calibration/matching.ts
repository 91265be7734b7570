/**
 * Matching: all hoses on one source, vacuum pulled by hand in steps. Every channel is brought onto the common scale
 * of all, so that a difference between two cylinders is the engine's and not the sensors'.
 */
import { type Block, blockMeans } from './block-means.ts';
import { type CalibrationRefusal, refused } from './calibration-refusals.ts';
import { type CommonLineFit, fitCommonLine } from './common-line-fit.ts';
import { coverageWidening } from './coverage-widening.ts';
import { hoseThatStandsApart } from './hose-standing.ts';
import { findPlateaus } from './plateaus.ts';
import type { PressureRecord } from './pressure-record.ts';
import { unusableChannel } from './record-checks.ts';
import { type StepMeans, stepMeans } from './step-means.ts';

export const LEAST_STEPS = 4;
/** Distance between the lowest and the highest step [kPa]. */
export const LEAST_MATCHING_SPAN_KPA = 25;
/** Scatter of single steps about the lines beyond which something other than the sensors is at work [kPa]. */
export const MOST_SCATTER_KPA = 0.35;
/** A channel may move by so much less or more than the others. */
export const LOWEST_GAIN = 0.85;
export const HIGHEST_GAIN = 1.18;
/** A source that is steady for a smaller share of the record than this drifts. */
const STEADY_SHARE = 0.25;
/** Probability at which an excess of scatter over the steps' own is taken for a curved sensor: 1 %, one-sided. */
const ONE_PERCENT_Z = 2.326;

export interface MatchedStep {
  readonly fromS: number;
  readonly toS: number;
  /** Pressure on the common scale [kPa absolute]. */
  readonly commonKpa: number;
  /** Each channel's matched reading less the common pressure [kPa]. */
  readonly residualKpa: readonly number[];
}

export interface Matching {
  readonly ok: true;
  /** matched = gain x reading + offset, onto the mean of the channels as they read in the record. */
  readonly gain: readonly number[];
  readonly offsetKpa: readonly number[];
  /**
   * Covariance of the error lines that are left against that mean, gain 1, offset 1, gain 2, offset 2 …, scaled by
   * the residuals and widened for few degrees of freedom so that two standard uncertainties cover 95 %.
   */
  readonly covariance: readonly (readonly number[])[];
  /** Standard deviation of each channel's residuals [kPa]. */
  readonly residualSdKpa: readonly number[];
  /** What the sensors depart from straight lines beyond the scatter of the steps; 0 when nothing shows [kPa]. */
  readonly curvatureSdKpa: number;
  readonly degreesOfFreedom: number;
  readonly steps: readonly MatchedStep[];
}

/**
 * @param record of the hoses on the source, at least 2, with the correction in force applied; steps of pressure
 *   with the way from one to the next
 */
export function matchChannels(record: PressureRecord): Matching | CalibrationRefusal {
  const channels = record.absoluteKpa.length;
  if (channels < 2) return refused('match-too-few-channels', `${channels} hose`);
  const unusable = unusableChannel(record);
  if (unusable !== null) return unusable;
  const blocks = blockMeans(record.timeS, record.absoluteKpa);
  const apart = hoseThatStandsApart(blocks);
  if (apart !== null) return apart;
  const means = stepMeans(record, findPlateaus(blocks));
  const short = tooLittle(blocks, means);
  if (short !== null) return short;
  const fit = fitCommonLine(means.meanKpa, means.uncertaintyKpa);
  return fit === null ? refused('match-scatter-large', 'no lines could be fitted') : judged(fit, means);
}

function tooLittle(blocks: readonly Block[], means: StepMeans): CalibrationRefusal | null {
  const levels = means.meanKpa[0]!;
  const span = rangeOf(levels);
  const travelled = rangeOf(blocks.map(({ channelKpa }) => channelKpa[0]!));
  const steadyS = means.steps.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);
  const wholeS = blocks.length === 0 ? 0 : blocks.at(-1)!.endS - blocks[0]!.startS;
  const found = `${levels.length} steps over ${span.toFixed(1)} kPa, steady for ${steadyS.toFixed(1)} of ${wholeS.toFixed(1)} s`;
  if (travelled < LEAST_MATCHING_SPAN_KPA) return refused('match-span-too-small', found);
  if (levels.length < LEAST_STEPS)
    return refused(steadyS < STEADY_SHARE * wholeS ? 'match-source-drifts' : 'match-too-few-steps', found);
  return span < LEAST_MATCHING_SPAN_KPA ? refused('match-span-too-small', found) : null;
}

function judged(fit: CommonLineFit, means: StepMeans): Matching | CalibrationRefusal {
  const channels = fit.gain.length;
  for (let channel = 0; channel < channels; channel++) {
    const gain = fit.gain[channel]!;
    if (!(gain >= LOWEST_GAIN && gain <= HIGHEST_GAIN))
      return refused('match-gain-implausible', `gain ${gain.toFixed(3)}`, channel);
  }
  const perChannel = fit.degreesOfFreedom / channels;
  const residualSdKpa = fit.residualKpa.map((row) =>
    Math.sqrt(row.reduce((sum, residual) => sum + residual ** 2, 0) / perChannel),
  );
  const worst = residualSdKpa.indexOf(Math.max(...residualSdKpa));
  if (residualSdKpa[worst]! > MOST_SCATTER_KPA)
    return refused('match-scatter-large', `${residualSdKpa[worst]!.toFixed(2)} kPa`, worst);
  const nu = fit.degreesOfFreedom;
  const scatter = fit.chiSquare / nu;
  const variance = scatter * coverageWidening(nu) ** 2;
  return {
    ok: true,
    gain: fit.gain,
    offsetKpa: fit.offsetKpa,
    covariance: fit.covariance.map((row) => row.map((value) => value * variance)),
    residualSdKpa,
    curvatureSdKpa: curvature(means, scatter, nu),
    degreesOfFreedom: nu,
    steps: means.steps.map(({ fromS, toS }, step) => ({
      fromS,
      toS,
      commonKpa: fit.commonKpa[step]!,
      residualKpa: fit.residualKpa.map((row) => row[step]!),
    })),
  };
}

/** Residuals that are larger than the steps explain, beyond chance, are laid on every reading. */
function curvature(means: StepMeans, scatter: number, nu: number): number {
  // Wilson and Hilferty's approximation of the chi-square quantile.
  const limit = (1 - 2 / (9 * nu) + ONE_PERCENT_Z * Math.sqrt(2 / (9 * nu))) ** 3;
  if (scatter <= limit) return 0;
  const all = means.uncertaintyKpa.flat();
  const meanSquare = all.reduce((sum, u) => sum + u * u, 0) / all.length;
  return Math.sqrt(meanSquare * (scatter - 1));
}

/** Largest less smallest; 0 of nothing. */
function rangeOf(values: readonly number[]): number {
  const known = values.filter(Number.isFinite);
  return known.length === 0 ? 0 : Math.max(...known) - Math.min(...known);
}
