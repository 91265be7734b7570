/** How sure the calibration of the sensors is of what they read just now: standard uncertainties [kPa]. */
export interface CalibrationUncertainty {
  /** Of one cylinder's absolute pressure. */
  reading(cylinder: number, absoluteKpa: number): number;
  /**
   * Of one cylinder's pressure less the reference; what the sensors' errors have in common cancels.
   *
   * @param absoluteKpa of every cylinder
   */
  gap(cylinder: number, reference: number | 'mean', absoluteKpa: readonly number[]): number;
  /** Of one cylinder's pressure less that of another. */
  between(cylinder: number, other: number, absoluteKpa: readonly number[]): number;
}

/** Fixed figures, whatever the pressure: sensors of which only the data sheet is known. */
export function fixedUncertainty(
  readingKpa: readonly number[],
  gapKpa: readonly number[],
): CalibrationUncertainty {
  return {
    reading: (cylinder) => readingKpa[cylinder] ?? 0,
    gap: (cylinder) => gapKpa[cylinder] ?? 0,
    between: (cylinder, other) => Math.hypot(gapKpa[cylinder] ?? 0, gapKpa[other] ?? 0),
  };
}
