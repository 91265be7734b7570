import { START_IDLE_TURNS } from './engine-parameters.ts';
import type { EngineLayout } from './layouts.ts';

/** Everything about the engine that can be changed while it runs. Arrays have one entry per cylinder. */
export interface EngineControls {
  /** Turns of each balance screw from where practice started. */
  balanceTurns: number[];
  /** Turns of the idle screw from shut. */
  idleTurns: number;
  /** Throttles out of adjustment against each other [turns of the idle screw]. */
  mismatchTurns: number[];
  /** The hand on the throttle, 0 released … 1 fully open. */
  throttle: number;
  /** Diameter of a hole behind the throttle [mm], 0 = tight. */
  leakMm: number[];
  /** Somebody covers the hole just now. */
  leakCovered: boolean[];
  tornDiaphragm: boolean[];
  /** Probability that a firing is missed, 0…1. */
  missedFiring: number[];
  /** The cylinder's spark is switched off just now. */
  sparkOff: boolean[];
  /** Part of the intake valve's opening that is lost, 0…1: worn cam, tight clearance. */
  weakBreathing: number[];
  /** Probability that an intake valve stays shut for a cycle, 0…1. */
  missedPulse: number[];
  /** Coefficient of variation of the heat of a firing. */
  combustionScatter: number;
  /** Correlation of one firing's scatter with the next of the same cylinder. */
  scatterCorrelation: number;
  /** Slow swing of the mixture, which makes the idle hunt: part of the torque, and its period [s]. */
  mixtureSwing: number;
  mixtureSwingPeriodS: number;
  ignition: boolean;
  /** A brake that holds this speed [r/min], or null for an engine that finds its own. */
  heldRpm: number | null;
}

export function defaultControls(layout: EngineLayout): EngineControls {
  const each = <T>(value: T): T[] => Array.from({ length: layout.cylinders }, () => value);
  return {
    balanceTurns: layout.balanceScrews.map(() => 0),
    idleTurns: START_IDLE_TURNS,
    mismatchTurns: [...layout.mismatchTurns],
    throttle: 0,
    leakMm: each(0),
    leakCovered: each(false),
    tornDiaphragm: each(false),
    missedFiring: each(0),
    sparkOff: each(false),
    weakBreathing: each(0),
    missedPulse: each(0),
    combustionScatter: 0.1,
    scatterCorrelation: 0.1,
    mixtureSwing: 0,
    mixtureSwingPeriodS: 2,
    ignition: true,
    heldRpm: null,
  };
}
