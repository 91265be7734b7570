/** What the engine reports as it turns. Times are the engine's own [s]. */
export interface EngineListener {
  /**
   * The intake valve of a cylinder begins to open: one cycle of that cylinder ends and the next begins.
   * `portIntegralPaS` is the integral of its port pressure up to that moment.
   */
  onIntakeOpens(cyl: number, timeS: number, portIntegralPaS: number): void;
  /** The valve stays shut in the cycle that has just begun. */
  onPulseMissed(cyl: number, timeS: number): void;
  /** `quality` is the factor on this firing's heat; 0 is a missed firing. */
  onFiring(cyl: number, timeS: number, quality: number): void;
}
