import { rectangular } from './uncertainty.ts';

/** Covariance of the error line of a corrected pressure: at pressure p it is wrong by offset + gain x p. */
export interface ErrorLineCovariance {
  /** Variance of the gain's error [1]. */
  readonly gain: number;
  /** Variance of the offset's error [kPa²]. */
  readonly offset: number;
  /** Covariance of the two [kPa]. */
  readonly gainOffset: number;
}

/**
 * What an error band says of the error line of a straight sensor or gauge: its errors at the two ends of its range
 * lie anywhere within the band, each on its own. The error at a pressure is then between band/√6 in the middle and
 * band/√3 at the ends as a standard uncertainty. Our own reading of the data sheets, which give the band alone.
 *
 * @param bandKpa half-width, temperature multiplier included
 * @param lowestKpa, highestKpa ends of the range, absolute
 */
export function errorBandPrior(bandKpa: number, lowestKpa: number, highestKpa: number): ErrorLineCovariance {
  const span = highestKpa - lowestKpa;
  if (!(bandKpa >= 0 && span > 0))
    throw new RangeError(`An error band needs a range, not ${bandKpa} kPa over ${lowestKpa}…${highestKpa}`);
  const end = rectangular(bandKpa) ** 2 / span ** 2;
  return {
    gain: 2 * end,
    offset: end * (lowestKpa ** 2 + highestKpa ** 2),
    gainOffset: -end * (lowestKpa + highestKpa),
  };
}

/** Standard uncertainty that the error line leaves at a pressure [kPa]. */
export function errorLineUncertaintyKpa(covariance: ErrorLineCovariance, pressureKpa: number): number {
  const { gain, offset, gainOffset } = covariance;
  return Math.sqrt(Math.max(0, gain * pressureKpa ** 2 + 2 * gainOffset * pressureKpa + offset));
}
