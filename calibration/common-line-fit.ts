import { inverse } from './solve-linear.ts';

/** Channels that all read one unknown pressure per step, each brought to their common scale. */
export interface CommonLineFit {
  /** common = gain x reading + offset; the common scale is the mean of the channels' readings. */
  readonly gain: readonly number[];
  readonly offsetKpa: readonly number[];
  /** Common pressure of each step [kPa]. */
  readonly commonKpa: readonly number[];
  /** Corrected less common, `residualKpa[channel][step]`. */
  readonly residualKpa: readonly (readonly number[])[];
  /**
   * Covariance of the errors that are left, gain 1, offset 1, gain 2, offset 2 …: a channel corrected to the pressure p
   * is wrong by offset + gain x p against the common scale. From the stated uncertainties alone.
   */
  readonly covariance: number[][];
  /** Σ (residual / uncertainty)²; about `degreesOfFreedom` when the stated uncertainties are right. */
  readonly chiSquare: number;
  readonly degreesOfFreedom: number;
}

const MOST_ROUNDS = 200;
const CLOSE = 1e-14;

/**
 * Straight-line fit with errors in every variable: each channel reads intercept + slope x pressure + error, and the
 * pressure of every step is unknown. For normal errors of known size this is maximum likelihood, found by turns:
 * the pressures for given lines, the lines for given pressures. For two channels it is York's line of one against
 * the other.
 *
 * One scale is as good as another as far as the steps can tell, so the mean of the channels is taken for it: slopes
 * of mean 1 and intercepts of mean 0. The covariance comes from the information matrix with the pressures
 * eliminated and these two sums held (bordered matrix).
 *
 * @param readingKpa `[channel][step]`, at least 2 x 3
 * @param uncertaintyKpa the same shape, standard uncertainties greater than 0
 * @returns null where the steps do not determine the lines
 * @throws RangeError for a shape or an uncertainty that cannot be
 */
export function fitCommonLine(
  readingKpa: readonly (readonly number[])[],
  uncertaintyKpa: readonly (readonly number[])[],
): CommonLineFit | null {
  const channels = readingKpa.length;
  const steps = readingKpa[0]?.length ?? 0;
  if (channels < 2 || steps < 3 || uncertaintyKpa.some((row) => row.some((u) => !(u > 0))))
    throw new RangeError(
      `A common line needs 2 channels, 3 steps and uncertainties above 0, not ${channels} x ${steps}`,
    );
  let lines: readonly Line[] = readingKpa.map(() => ({ intercept: 0, slope: 1 }));
  let common: number[] = [];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    common = commonPressures(readingKpa, uncertaintyKpa, lines);
    const next = ofMean(readingKpa.map((row, channel) => lineFor(row, uncertaintyKpa[channel]!, common)));
    const moved = Math.max(...next.map(({ slope }, channel) => Math.abs(slope - lines[channel]!.slope)));
    lines = next;
    if (!Number.isFinite(moved)) return null;
    if (moved <= CLOSE) break;
  }
  common = commonPressures(readingKpa, uncertaintyKpa, lines);
  const covariance = remainingCovariance(uncertaintyKpa, lines, common);
  if (covariance === null) return null;
  let chiSquare = 0;
  const residualKpa = readingKpa.map((row, channel) => {
    const { intercept, slope } = lines[channel]!;
    return row.map((reading, step) => {
      const residual = (reading - intercept) / slope - common[step]!;
      chiSquare += ((slope * residual) / uncertaintyKpa[channel]![step]!) ** 2;
      return residual;
    });
  });
  return {
    gain: lines.map(({ slope }) => 1 / slope),
    offsetKpa: lines.map(({ intercept, slope }) => -intercept / slope),
    commonKpa: common,
    residualKpa,
    covariance,
    chiSquare,
    degreesOfFreedom: (channels - 1) * (steps - 2),
  };
}

interface Line {
  readonly intercept: number;
  readonly slope: number;
}

function commonPressures(
  reading: readonly (readonly number[])[],
  uncertainty: readonly (readonly number[])[],
  lines: readonly Line[],
): number[] {
  return reading[0]!.map((_, step) => {
    let total = 0;
    let sum = 0;
    lines.forEach(({ intercept, slope }, channel) => {
      const weight = (slope / uncertainty[channel]![step]!) ** 2;
      total += weight;
      sum += (weight * (reading[channel]![step]! - intercept)) / slope;
    });
    return sum / total;
  });
}

function lineFor(
  reading: readonly number[],
  uncertainty: readonly number[],
  common: readonly number[],
): Line {
  let total = 0;
  let sumCommon = 0;
  let sumReading = 0;
  reading.forEach((value, step) => {
    const weight = 1 / uncertainty[step]! ** 2;
    total += weight;
    sumCommon += weight * common[step]!;
    sumReading += weight * value;
  });
  const meanCommon = sumCommon / total;
  const meanReading = sumReading / total;
  let top = 0;
  let bottom = 0;
  reading.forEach((value, step) => {
    const weight = 1 / uncertainty[step]! ** 2;
    top += weight * (common[step]! - meanCommon) * (value - meanReading);
    bottom += weight * (common[step]! - meanCommon) ** 2;
  });
  const slope = top / bottom;
  return { intercept: meanReading - slope * meanCommon, slope };
}

/** The same lines against the scale on which their slopes have mean 1 and their intercepts mean 0. */
function ofMean(lines: readonly Line[]): Line[] {
  const meanSlope = lines.reduce((sum, { slope }) => sum + slope, 0) / lines.length;
  const meanIntercept = lines.reduce((sum, { intercept }) => sum + intercept, 0) / lines.length;
  return lines.map(({ intercept, slope }) => ({
    intercept: intercept - (slope * meanIntercept) / meanSlope,
    slope: slope / meanSlope,
  }));
}

function remainingCovariance(
  uncertainty: readonly (readonly number[])[],
  lines: readonly Line[],
  common: readonly number[],
): number[][] | null {
  const channels = lines.length;
  const size = 2 * channels;
  // Slopes are scaled by a typical pressure so that all entries are of one size.
  const scale = Math.max(1, ...common.map(Math.abs));
  const bordered = Array.from({ length: size + 2 }, () => new Array<number>(size + 2).fill(0));
  common.forEach((pressure, step) => {
    const p = pressure / scale;
    const weights = uncertainty.map((row) => 1 / row[step]! ** 2);
    const total = weights.reduce((sum, weight, channel) => sum + weight * lines[channel]!.slope ** 2, 0);
    for (let i = 0; i < channels; i++) {
      for (let j = 0; j < channels; j++) {
        const eliminated = (weights[i]! * lines[i]!.slope * weights[j]! * lines[j]!.slope) / total;
        const w = (i === j ? weights[i]! : 0) - eliminated;
        bordered[2 * i]![2 * j]! += w * p * p;
        bordered[2 * i]![2 * j + 1]! += w * p;
        bordered[2 * i + 1]![2 * j]! += w * p;
        bordered[2 * i + 1]![2 * j + 1]! += w;
      }
    }
  });
  const typical = Math.max(...bordered.map((row, at) => Math.abs(row[at]!)));
  for (let channel = 0; channel < channels; channel++) {
    for (const part of [0, 1]) {
      bordered[2 * channel + part]![size + part] = typical;
      bordered[size + part]![2 * channel + part] = typical;
    }
  }
  const inverted = inverse(bordered);
  if (inverted === null) return null;
  // An error of the line's slope or intercept is one of the corrected pressure divided by minus the slope.
  const toError = (index: number): number => -1 / lines[index >> 1]!.slope / (index % 2 === 0 ? scale : 1);
  return Array.from({ length: size }, (_, row) =>
    Array.from({ length: size }, (_, column) => inverted[row]![column]! * toError(row) * toError(column)),
  );
}
