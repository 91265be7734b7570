/** One whole engine cycle of one cylinder: from the fall of its pressure to the next. */
export interface PressureCycle {
  /** 0-based cylinder. */
  readonly cylinder: number;
  /** Number of the engine cycle; equal numbers belong together across cylinders. */
  readonly index: number;
  readonly startS: number;
  readonly endS: number;
  /** Time mean of the absolute pressure over exactly this cycle [kPa]; null when samples are missing. */
  readonly meanKpa: number | null;
  /** Lowest and highest pressure of the cycle [kPa], noise averaged out over all its samples. */
  readonly lowestKpa: number | null;
  readonly highestKpa: number | null;
  /** Depth of the intake pulse [kPa]; null when the cylinder has no pulse of its own. */
  readonly depthKpa: number | null;
  /** Its depth over the cylinder's usual depth of late; null as depthKpa. */
  readonly strength: number | null;
  /** The pulse was measured, not only expected. */
  readonly measured: boolean;
  /** When the lowest pressure was to be expected [s]. */
  readonly troughS: number;
  /** Samples that the pulse was fitted to. */
  readonly samples: number;
  /** Part of the cycle's variance that the usual pulse explains, 0-1. */
  readonly explained: number;
}
