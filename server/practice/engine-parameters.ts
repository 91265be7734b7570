import type { EngineLayout } from './layouts.ts';

/** The unchanging part of the simulated engine. Angles are crank degrees after the firing top dead centre. */
export interface EngineParameters {
  readonly layout: EngineLayout;
  readonly displacementM3: number;
  readonly compressionRatio: number;
  readonly rodToRadius: number;
  /** Volume between throttle and intake valve of one cylinder. */
  readonly portVolumeM3: number;
  /** Effective (discharge coefficient x geometric) throttle area at the screws' starting place. */
  readonly idleAreaM2: number;
  /** Effective area at full throttle. */
  readonly fullAreaM2: number;
  readonly intakeValveAreaM2: number;
  readonly exhaustValveAreaM2: number;
  readonly intakeOpensDeg: number;
  readonly intakeClosesDeg: number;
  readonly exhaustOpensDeg: number;
  readonly exhaustClosesDeg: number;
  readonly burnStartsDeg: number;
  readonly burnLengthDeg: number;
  /** Heat of a kilogram of mixture that burns well [J/kg]. */
  readonly heatPerKg: number;
  /**
   * Filling, as a part of the displacement at ambient density, at which half of that heat is set free in time: the
   * thin, diluted charge of an idling engine burns slowly and late.
   */
  readonly halfHeatFill: number;
  readonly ambientPa: number;
  readonly ambientK: number;
  readonly exhaustPa: number;
  readonly exhaustK: number;
  /** Friction mean effective pressure [Pa] = base + slope x speed [rad/s]. */
  readonly frictionBasePa: number;
  readonly frictionSlopePa: number;
  readonly inertiaKgM2: number;
  readonly starterTorqueNm: number;
}

/** Turns of the idle screw from shut to the place where practice starts. */
export const START_IDLE_TURNS = 4.5;
/** What one turn of any screw adds to a throttle, as a part of its starting area. */
export const AREA_PER_TURN = 0.22;
/** A cable is slack until the hand has pulled it this far, as a part of its whole travel. */
export const CABLE_SLACK = 0.012;
/** What one turn of a cable's adjuster takes up, so that it does about as much as a turn of a stop screw does at idle. */
export const CABLE_TRAVEL_PER_TURN = 0.008;
/** What a shut throttle plate still lets through, as a part of its starting area. */
export const SHUT_AREA = 0.01;
/** Discharge coefficient of a round hole with a sharp edge (common practice, no source). */
export const LEAK_DISCHARGE = 0.6;

/**
 * A usual engine of the layout. Every size follows from the displacement of one cylinder, so that all layouts
 * idle alike; the figures are those of common practice and were trimmed until idle speed, pulse depth and
 * cycle scatter were those of a real engine.
 */
export function engineParameters(layout: EngineLayout, ambientKpa: number): EngineParameters {
  const displacementM3 = layout.displacementPerCylinderCc * 1e-6;
  const size = displacementM3 / 400e-6;
  return {
    layout,
    displacementM3,
    compressionRatio: 10.5,
    rodToRadius: 3.9,
    portVolumeM3: 0.8 * displacementM3,
    idleAreaM2: 6.2e-6 * size,
    fullAreaM2: 9e-4 * size,
    intakeValveAreaM2: 7e-4 * size,
    exhaustValveAreaM2: 5.5e-4 * size,
    intakeOpensDeg: 350,
    intakeClosesDeg: 590,
    exhaustOpensDeg: 135,
    exhaustClosesDeg: 370,
    burnStartsDeg: 706,
    burnLengthDeg: 65,
    heatPerKg: 2.6e6,
    halfHeatFill: 0.45,
    ambientPa: ambientKpa * 1000,
    ambientK: 298,
    exhaustPa: ambientKpa * 1000 + 1_000,
    exhaustK: 850,
    frictionBasePa: 50_000,
    frictionSlopePa: 350,
    inertiaKgM2: layout.inertiaKgM2,
    starterTorqueNm: 110 * size * (1 + 0.1 * layout.cylinders),
  };
}
