/** What the measurement says at a moment. `null` means 'not settled' or 'cannot be told', never 0. */

export type SensorState = 'ok' | 'no-pulse' | 'open-to-air' | 'blocked' | 'saturated' | 'dead' | 'noisy';
export type Settling = 'moving' | 'settling' | 'steady';
export type Verdict = 'inside' | 'outside' | 'not-sure';

export interface CylinderReading {
  readonly sensor: SensorState;
  /** Mean of the whole-cycle means since the last change [kPa of vacuum]. */
  readonly vacuumKpa: number | null;
  /** Standard deviation of the whole-cycle means [kPa]. */
  readonly vacuumSdKpa: number | null;
  /** Standard error of vacuumKpa, autocorrelation of the cycles allowed for [kPa]. */
  readonly vacuumStandardErrorKpa: number | null;
  /** Expanded uncertainty, k = 2, calibration included [kPa]. */
  readonly vacuumExpandedKpa: number | null;
  /** Vacuum above the reference's, from paired cycles [kPa]. */
  readonly gapKpa: number | null;
  readonly gapExpandedKpa: number | null;
  readonly verdict: Verdict;
  readonly settling: Settling;
  /** Mean vacuum of the newest whole cycle [kPa]. */
  readonly lastCycleKpa: number | null;
  readonly peakVacuumKpa: number | null;
  readonly pulseDepthKpa: number | null;
  /** Whole cycles in the mean. */
  readonly cycles: number;
  readonly missedPulsesPerMinute: number | null;
}

export interface RoughnessFigures {
  /** 0 smooth … 100 rough; our own score, formula in `roughness.ts`. */
  readonly score: number | null;
  readonly cycleLengthCovPercent: number | null;
  readonly choppinessPercent: number | null;
  readonly hunting: { readonly amplitudeRpm: number; readonly periodS: number } | null;
  readonly perCylinder: readonly {
    readonly depthCovPercent: number | null;
    readonly missedPerMinute: number | null;
    readonly lowestNormalisedCycle: number | null;
  }[];
}

export interface Reading {
  /** Time of the newest sample [s]; null before the first. */
  readonly timeS: number | null;
  readonly engine: {
    readonly running: boolean;
    /** Speed over the newest cycle [r/min]. */
    readonly speedRpm: number | null;
    /** Mean speed over the cycles of the present reading [r/min]. */
    readonly idleRpm: number | null;
    readonly cycles: number;
  };
  readonly cylinders: readonly CylinderReading[];
  /** Largest minus smallest vacuum [kPa]. */
  readonly spreadKpa: number | null;
  readonly spreadExpandedKpa: number | null;
  readonly settling: Settling;
  readonly verdict: Verdict;
  readonly cyclesNeeded: number | null;
  /** 0-based cylinders whose hoses look swapped: one of these pairs, or null. */
  readonly swappedHoses: readonly (readonly [number, number])[] | null;
  readonly roughness: RoughnessFigures;
}

/** Mean intake pulse over the engine cycle: bin j covers j/bins … (j+1)/bins of the cycle from this cylinder's pulse. */
export interface FoldedWaveform {
  readonly meanKpa: readonly (number | null)[];
  readonly sdKpa: readonly (number | null)[];
}
