/**
 * How fast the two tones of the ear cue beat. Pure: gap and tolerance in, hertz out.
 *
 * Outside the band the beat grows with the logarithm of the gap, because the ear hears ratios: each doubling of the
 * gap adds the same number of beats per second, whether it is one tolerance away or eight. At the edge of the
 * band the beat is slow enough to count; inside there is none, and the tones are one.
 */

/** Beat just outside the band [Hz]: one swell in a second and a quarter. */
export const SLOWEST_BEAT_HZ = 0.8;
/** Added by each doubling of the gap [Hz]. */
export const BEAT_PER_DOUBLING_HZ = 2.4;
/** Faster than this is heard as a rough tone and no longer as a beat [Hz]. */
export const FASTEST_BEAT_HZ = 12;

/**
 * @param gapKpa difference between the two sides [kPa], either sign; null when it is not known
 * @param toleranceKpa half-width of the band [kPa], > 0
 * @returns beat [Hz], 0 inside the band, null when nothing may be sounded
 * @throws RangeError for a tolerance that is not above 0
 */
export function beatHz(gapKpa: number | null, toleranceKpa: number): number | null {
  if (!(toleranceKpa > 0)) throw new RangeError(`Tolerance must be above 0 kPa, not ${toleranceKpa}`);
  if (gapKpa === null || !Number.isFinite(gapKpa)) return null;
  const ratio = Math.abs(gapKpa) / toleranceKpa;
  if (ratio <= 1) return 0;
  return Math.min(FASTEST_BEAT_HZ, SLOWEST_BEAT_HZ + BEAT_PER_DOUBLING_HZ * Math.log2(ratio));
}

/** Frequency in the middle of the two tones [Hz]: above most of an exhaust's noise, easy on the ear. */
export const MIDDLE_TONE_HZ = 620;

/**
 * The two tones. The higher one belongs to the side that pulls more.
 * @param beat from `beatHz` [Hz]
 * @param firstPullsMore whether the first side pulls more
 */
export function toneFrequencies(beat: number, firstPullsMore: boolean): readonly [number, number] {
  const half = (firstPullsMore ? beat : -beat) / 2;
  return [MIDDLE_TONE_HZ + half, MIDDLE_TONE_HZ - half];
}
