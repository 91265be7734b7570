/** Span: the common scale of the channels against a reference gauge with a stated uncertainty of its own. */
import { type CalibrationRefusal, refused } from './calibration-refusals.ts';
import { coverageWidening } from './coverage-widening.ts';
import { type ErrorLineCovariance, errorBandPrior, errorLineUncertaintyKpa } from './error-line.ts';
import { fitThroughOrigin } from './linear-regression.ts';
import type { BarometricPressure } from './standard-atmosphere.ts';
import { COVERAGE_FACTOR, rectangular } from './uncertainty.ts';
import { fitYork } from './york-regression.ts';

/** What the gauge's certificate or dial says of it. */
export interface ReferenceGauge {
  /** Absolute pressures at the ends of its scale [kPa]; for a vacuum gauge barometric less its scale. */
  readonly lowestKpa: number;
  readonly highestKpa: number;
  /** The stated figure [kPa], greater than 0. */
  readonly statedKpa: number;
  /** What the figure is: limits of error (a class), expanded uncertainty with k = 2, or standard uncertainty. */
  readonly stated: 'limits' | 'expanded' | 'standard';
}

export interface SpanPoint {
  /** The channels' common reading with the correction in force [kPa absolute], and its standard uncertainty. */
  readonly readingKpa: number;
  readonly readingUncertaintyKpa: number;
  /** What the gauge showed [kPa absolute], and how well its scale can be read (standard uncertainty). */
  readonly referenceKpa: number;
  readonly referenceUncertaintyKpa: number;
}

export interface SpanFit {
  readonly ok: true;
  /** true pressure = gain x reading + offset. */
  readonly gain: number;
  readonly offsetKpa: number;
  /** Of the error line that is left: readings and the gauge's own error together. */
  readonly covariance: ErrorLineCovariance;
  readonly residualKpa: readonly number[];
  readonly degreesOfFreedom: number;
}

export const LEAST_SPAN_POINTS = 3;
export const LEAST_SPAN_KPA = 20;
/** No sensor is so far off in gain. */
export const LOWEST_SPAN_GAIN = 0.85;
export const HIGHEST_SPAN_GAIN = 1.18;
/** Root mean square of the residuals beyond which the gauge was misread [kPa]. */
export const MOST_SPAN_SCATTER_KPA = 1;

/**
 * A line through readings at three pressures or more, errors in both; or, when the zero has just been set against
 * a barometer, the gain alone from one reading or more.
 *
 * @param zero barometric pressure of the zero, or null to find gain and offset both
 */
export function fitSpan(
  points: readonly SpanPoint[],
  gauge: ReferenceGauge,
  zero: BarometricPressure | null = null,
): SpanFit | CalibrationRefusal {
  const fit = zero === null ? freeLine(points) : throughZero(points, zero);
  if (!fit.ok) return fit;
  if (!(fit.gain >= LOWEST_SPAN_GAIN && fit.gain <= HIGHEST_SPAN_GAIN))
    return refused('span-gain-implausible', `gain ${fit.gain.toFixed(3)}`);
  const scatter = Math.hypot(...fit.residualKpa) / Math.sqrt(points.length);
  if (scatter > MOST_SPAN_SCATTER_KPA) return refused('span-scatter-large', `${scatter.toFixed(2)} kPa`);
  const own = gaugeCovariance(gauge);
  const lowest = Math.min(...points.map(({ referenceKpa }) => referenceKpa));
  const systematic = zero === null ? own : betweenZeroAnd(lowest, errorLineUncertaintyKpa(own, lowest), zero);
  return { ...fit, covariance: add(fit.covariance, systematic) };
}

function freeLine(points: readonly SpanPoint[]): SpanFit | CalibrationRefusal {
  if (points.length < LEAST_SPAN_POINTS) return refused('span-too-few-points', `${points.length} readings`);
  const readings = points.map(({ readingKpa }) => readingKpa);
  const span = Math.max(...readings) - Math.min(...readings);
  if (span < LEAST_SPAN_KPA) return refused('span-too-small', `${span.toFixed(1)} kPa`);
  const fit = fitYork(
    points.map((point) => ({
      x: point.readingKpa,
      ux: point.readingUncertaintyKpa,
      y: point.referenceKpa,
      uy: point.referenceUncertaintyKpa,
    })),
  );
  if (fit === null) return refused('span-scatter-large', 'no line could be fitted');
  const factor = widened(fit.reducedChiSquare ?? 1, fit.degreesOfFreedom);
  return {
    ok: true,
    gain: fit.slope,
    offsetKpa: fit.intercept,
    covariance: {
      gain: factor * fit.covariance.slope,
      offset: factor * fit.covariance.intercept,
      gainOffset: factor * fit.covariance.interceptSlope,
    },
    residualKpa: fit.residuals,
    degreesOfFreedom: fit.degreesOfFreedom,
  };
}

function throughZero(points: readonly SpanPoint[], zero: BarometricPressure): SpanFit | CalibrationRefusal {
  if (points.length < 1) return refused('span-too-few-points', 'no readings');
  const x = points.map(({ readingKpa }) => readingKpa - zero.kpa);
  const y = points.map(({ referenceKpa }) => referenceKpa - zero.kpa);
  const deepest = Math.max(...x.map(Math.abs));
  if (deepest < LEAST_SPAN_KPA) return refused('span-too-small', `${deepest.toFixed(1)} kPa below the air`);
  const weights = points.map(
    (point) => 1 / (point.readingUncertaintyKpa ** 2 + point.referenceUncertaintyKpa ** 2),
  );
  const fit = fitThroughOrigin(x, y, { weights, scale: 'known' });
  const factor = fit.degreesOfFreedom > 0 ? widened((fit.residualSd ?? 1) ** 2, fit.degreesOfFreedom) : 1;
  const gain = factor * fit.covariance.slope;
  // The line turns about the zero: offset = zero (1 - gain).
  return {
    ok: true,
    gain: fit.slope,
    offsetKpa: zero.kpa * (1 - fit.slope),
    covariance: { gain, offset: gain * zero.kpa ** 2, gainOffset: -gain * zero.kpa },
    residualKpa: fit.residuals,
    degreesOfFreedom: fit.degreesOfFreedom,
  };
}

/** Scatter beyond the stated one counts, widened for few readings; less than stated is luck. */
function widened(reducedChiSquare: number, degreesOfFreedom: number): number {
  return reducedChiSquare <= 1 ? 1 : reducedChiSquare * coverageWidening(degreesOfFreedom) ** 2;
}

function gaugeCovariance(gauge: ReferenceGauge): ErrorLineCovariance {
  const { stated, statedKpa, lowestKpa, highestKpa } = gauge;
  const standardKpa =
    stated === 'limits'
      ? rectangular(statedKpa)
      : stated === 'expanded'
        ? statedKpa / COVERAGE_FACTOR
        : statedKpa;
  return errorBandPrior(standardKpa / rectangular(1), lowestKpa, highestKpa);
}

/**
 * The error of a line held by the barometer at the zero, e_z, and by the gauge at its lowest reading, e_g: a gain
 * (e_z - e_g) / (zero - lowest) about the zero.
 */
function betweenZeroAnd(
  lowestKpa: number,
  gaugeUncertaintyKpa: number,
  zero: BarometricPressure,
): ErrorLineCovariance {
  const lever = zero.kpa - lowestKpa;
  const air = zero.standardUncertaintyKpa ** 2;
  const gain = (air + gaugeUncertaintyKpa ** 2) / lever ** 2;
  return {
    gain,
    offset: air - (2 * zero.kpa * air) / lever + zero.kpa ** 2 * gain,
    gainOffset: air / lever - zero.kpa * gain,
  };
}

function add(a: ErrorLineCovariance, b: ErrorLineCovariance): ErrorLineCovariance {
  return { gain: a.gain + b.gain, offset: a.offset + b.offset, gainOffset: a.gainOffset + b.gainOffset };
}
