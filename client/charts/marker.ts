export interface Marker {
  /** 0-based. */
  readonly cyl: number;
  /** Where it stands [kPa against the reference]. */
  readonly kpa: number;
  /** Half of its width [kPa]; null while only the last cycle is known. */
  readonly expandedKpa: number | null;
}
