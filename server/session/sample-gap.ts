import type { MeasuringInstrument } from './measuring-parts.ts';

/** A longer hole is no missing sample but a break: what comes after it has to be found anew [s]. */
export const LONGEST_BRIDGED_S = 0.25;

export interface SampleGap {
  /** Time of the sample in front of the hole [s]. */
  readonly fromS: number;
  /** Time of the sample behind it [s]. */
  readonly toS: number;
  /** Samples in between that did not arrive. */
  readonly missing: number;
}

/**
 * Tells an instrument of samples that did not arrive. A short hole, as from a line that noise made unreadable,
 * is filled with missing samples so that one bad line does not cost the cycle that was being followed.
 */
export function passGap(
  instrument: Pick<MeasuringInstrument, 'push' | 'breakInSamples'>,
  gap: SampleGap,
  cylinders: number,
): void {
  const widthS = gap.toS - gap.fromS;
  if (widthS > LONGEST_BRIDGED_S) {
    instrument.breakInSamples();
    return;
  }
  const nothing = new Float64Array(cylinders).fill(Number.NaN);
  for (let n = 1; n <= gap.missing; n++) {
    instrument.push(gap.fromS + (widthS * n) / (gap.missing + 1), nothing);
  }
}
