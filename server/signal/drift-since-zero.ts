/**
 * Whether a sensor has moved since it was zeroed: with the engine off, every port is at barometric pressure, and a
 * calibrated channel must say so.
 */

export interface ZeroDrift {
  /** What the channel reads above the barometric pressure [kPa]. */
  readonly driftKpa: number;
  /** Expanded uncertainty of that, k = 2 [kPa]. */
  readonly expandedKpa: number;
  /** It is more than its uncertainty and more than matters: zero again before balancing. */
  readonly drifted: boolean;
}

export interface KeyOffChannel {
  /** Mean absolute pressure that the channel reads with the engine off [kPa]; null when it was not still. */
  readonly meanKpa: number | null;
  /** Standard error of that mean [kPa]. */
  readonly standardErrorKpa: number;
  /** Standard uncertainty that the zero had when it was made [kPa]. */
  readonly zeroStandardUncertaintyKpa: number;
}

/** Drift below this does no harm to a balance [kPa]: a tenth of the tightest tolerance in use. */
export const HARMLESS_DRIFT_KPA = 0.1;

/**
 * @param barometricKpa barometric pressure now
 * @param barometricStandardUncertaintyKpa its standard uncertainty
 * @returns one entry per channel, null where it was not still
 */
export function driftSinceZero(
  channels: readonly KeyOffChannel[],
  barometricKpa: number,
  barometricStandardUncertaintyKpa: number,
): (ZeroDrift | null)[] {
  return channels.map(({ meanKpa, standardErrorKpa, zeroStandardUncertaintyKpa }) => {
    if (meanKpa === null) return null;
    const driftKpa = meanKpa - barometricKpa;
    // Independent parts add in quadrature: GUM, JCGM 100:2008, 5.1.2.
    const expandedKpa =
      2 * Math.hypot(standardErrorKpa, zeroStandardUncertaintyKpa, barometricStandardUncertaintyKpa);
    const drifted = Math.abs(driftKpa) > expandedKpa && Math.abs(driftKpa) > HARMLESS_DRIFT_KPA;
    return { driftKpa, expandedKpa, drifted };
  });
}
