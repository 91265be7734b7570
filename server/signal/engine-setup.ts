import { SEA_LEVEL_KPA } from '../../calibration/standard-atmosphere.ts';

/**
 * What the instrument is told about the engine. Everything else (speed, firing order, pulse shape, noise)
 * is learned from the pressure itself.
 */
export interface EngineSetup {
  /** Number of cylinders with a hose, 1-8. Channel i of a sample belongs to cylinder i. */
  readonly cylinders: number;
  /** 4: one intake pulse in two crank revolutions. 2: one in each revolution. */
  readonly strokes: 4 | 2;
  /** Intake pulses that each hose sees in one engine cycle: 1 with its own throttle, more on a shared manifold. */
  readonly pulsesPerCycle: readonly number[];
  /** Crank angle [deg, 0…720 or 0…360] of each cylinder's intake after cylinder 1's, or null to learn it. */
  readonly intakeAnglesDeg: readonly number[] | null;
  /** Barometric pressure [kPa absolute] that vacuum is counted from. */
  readonly barometricKpa: number;
  /** Index of the reference cylinder, or 'mean' of all. */
  readonly reference: number | 'mean';
  /** Half-width of the tolerance band around the reference [kPa]. */
  readonly toleranceKpa: number;
}

export const MIN_CYLINDERS = 1;
export const MAX_CYLINDERS = 8;
export const STANDARD_ATMOSPHERE_KPA = SEA_LEVEL_KPA;

/** Degrees of crank rotation in one engine cycle. */
export function cycleDegrees(strokes: 4 | 2): 720 | 360 {
  return strokes === 4 ? 720 : 360;
}

/** Crank revolutions in one engine cycle. */
export function revolutionsPerCycle(strokes: 4 | 2): 2 | 1 {
  return strokes === 4 ? 2 : 1;
}

/** A setup with every optional matter at its default. */
export function defaultEngineSetup(cylinders: number): EngineSetup {
  return {
    cylinders,
    strokes: 4,
    pulsesPerCycle: Array.from({ length: cylinders }, () => 1),
    intakeAnglesDeg: null,
    barometricKpa: STANDARD_ATMOSPHERE_KPA,
    reference: 'mean',
    toleranceKpa: 1,
  };
}
