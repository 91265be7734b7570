import type { CylinderReading, Reading, Settling } from '../../../../server/signal/reading.ts';

export interface ReadingParts {
  readonly timeS: number;
  /** To the reference [kPa]. */
  readonly gapsKpa: readonly (number | null)[];
  /** Expanded uncertainty of each gap, or of all [kPa]. */
  readonly expandedKpa?: readonly number[] | number;
  readonly cycles?: number;
  readonly settling?: Settling;
  readonly speedRpm?: number | null;
  readonly swappedHoses?: Reading['swappedHoses'];
}

/** A reading with the gaps that are given; of all else nothing is known. */
export function readingOf(parts: ReadingParts): Reading {
  const { timeS, gapsKpa, expandedKpa = 0.1, cycles = 40, settling = 'steady', speedRpm = 1100 } = parts;
  return {
    timeS,
    engine: { running: speedRpm !== null, speedRpm, idleRpm: speedRpm, cycles },
    cylinders: gapsKpa.map(
      (gapKpa, cyl): CylinderReading => ({
        sensor: gapKpa === null ? 'dead' : 'ok',
        vacuumKpa: null,
        vacuumSdKpa: null,
        vacuumStandardErrorKpa: null,
        vacuumExpandedKpa: null,
        gapKpa,
        gapExpandedKpa:
          gapKpa === null ? null : typeof expandedKpa === 'number' ? expandedKpa : expandedKpa[cyl]!,
        verdict: 'not-sure',
        settling,
        lastCycleKpa: null,
        peakVacuumKpa: null,
        pulseDepthKpa: null,
        cycles,
        missedPulsesPerMinute: null,
      }),
    ),
    spreadKpa: null,
    spreadExpandedKpa: null,
    settling,
    verdict: 'not-sure',
    cyclesNeeded: null,
    swappedHoses: parts.swappedHoses ?? null,
    roughness: {
      score: null,
      cycleLengthCovPercent: null,
      choppinessPercent: null,
      hunting: null,
      perCylinder: [],
    },
  };
}
