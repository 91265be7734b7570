import { FiringQuality } from './combustion.ts';
import { Cylinder, type CylinderStep, cylinderShape } from './cylinder.ts';
import { defaultControls, type EngineControls } from './engine-controls.ts';
import type { EngineListener } from './engine-listener.ts';
import type { EngineParameters } from './engine-parameters.ts';
import { GasVolume } from './gas-volume.ts';
import type { Random } from './random.ts';
import { Throttles } from './throttles.ts';

/**
 * The engine: for each cylinder a port volume behind its own throttle, and a cylinder volume with a piston,
 * valves and heat of combustion; one crankshaft for all. Mass and energy are balanced in each volume
 * (perfect gas, filling and emptying model, Heywood 1988, section 14.2), so port pressure, idle speed and
 * their scatter follow from openings, volumes and firings.
 */
export class Engine {
  readonly parameters: EngineParameters;
  readonly controls: EngineControls;
  /** Time since the engine was made [s]. */
  timeS = 0;
  /** Crank speed [rad/s]. */
  speedRadS = START_RPM * RAD_S_PER_RPM;
  /** Steady part of the torque that the brake takes from the engine, while a speed is held [N m]. */
  brakeTorqueNm = 0;
  /** The starter motor is engaged. */
  starter = false;
  /** Port pressure per cylinder [Pa absolute]. */
  readonly portPa: Float64Array;
  /** Integral of port pressure over time per cylinder [Pa s]. */
  readonly portIntegralPaS: Float64Array;
  readonly #cylinders: readonly Cylinder[];
  readonly #throttles: Throttles;
  readonly #air: GasVolume;
  readonly #exhaust: GasVolume;
  readonly #step: CylinderStep = { turnDeg: 0, dtS: 0, timeS: 0, coolingPerS: 0, mayFire: true };
  /** How far the crank has turned since it stood still [degrees]. */
  #sinceRestDeg = Number.POSITIVE_INFINITY;

  constructor(
    parameters: EngineParameters,
    random: Random,
    listener: EngineListener,
    controls: EngineControls = defaultControls(parameters.layout),
  ) {
    const n = parameters.layout.cylinders;
    this.parameters = parameters;
    this.controls = controls;
    this.#air = GasVolume.open(parameters.ambientPa, parameters.ambientK, 0);
    this.#exhaust = GasVolume.open(parameters.exhaustPa, parameters.exhaustK, 1);
    const shape = cylinderShape(parameters);
    const surroundings = { air: this.#air, exhaust: this.#exhaust };
    this.#cylinders = Array.from({ length: n }, (_, cyl) => {
      const chances = { quality: new FiringQuality(random.fork(2 * cyl)), pulses: random.fork(2 * cyl + 1) };
      return new Cylinder(cyl, shape, parameters, controls, listener, surroundings, chances);
    });
    this.#throttles = new Throttles(parameters);
    this.portPa = Float64Array.from(this.#cylinders, ({ port }) => port.pressurePa);
    this.portIntegralPaS = new Float64Array(n);
  }

  get speedRpm(): number {
    return this.speedRadS / RAD_S_PER_RPM;
  }

  /** Gas in ports and cylinders [kg]. */
  get storedKg(): number {
    return this.#cylinders.reduce((sum, cylinder) => sum + cylinder.storedKg, 0);
  }

  /** Gas that came in through throttles and leaks since the engine was made [kg]. */
  get drawnInKg(): number {
    return -this.#air.kg;
  }

  /** Gas that went out through the exhausts since the engine was made [kg]. */
  get exhaustedKg(): number {
    return this.#exhaust.kg;
  }

  /** Goes on by `durationS`, in steps of at most `MAX_STEP_DEG` of crank rotation. */
  advance(durationS: number): void {
    this.#throttles.step(this.controls, this.portPa, durationS);
    const steps = Math.max(1, Math.ceil((this.speedRadS * durationS * DEG_PER_RAD) / MAX_STEP_DEG));
    const startS = this.timeS;
    for (let step = 0; step < steps; step++) {
      this.timeS = startS + (step * durationS) / steps;
      this.#advanceStep(durationS / steps);
    }
    this.timeS = startS + durationS;
    for (let cyl = 0; cyl < this.#cylinders.length; cyl++) {
      const cylinder = this.#cylinders[cyl]!;
      this.portPa[cyl] = cylinder.port.pressurePa;
      this.portIntegralPaS[cyl] = cylinder.portIntegralPaS;
    }
  }

  #advanceStep(dtS: number): void {
    const step = this.#step;
    const turnRad = this.speedRadS * dtS;
    step.dtS = dtS;
    step.timeS = this.timeS;
    step.turnDeg = turnRad * DEG_PER_RAD;
    step.coolingPerS = COOLING_PER_S * (this.speedRpm / START_RPM) ** COOLING_POWER;
    this.#sinceRestDeg = turnRad > 0 ? this.#sinceRestDeg + step.turnDeg : 0;
    step.mayFire = this.controls.ignition && this.#sinceRestDeg > DRAW_IN_DEG && this.speedRpm <= LIMITER_RPM;
    let workJ = 0;
    for (let cyl = 0; cyl < this.#cylinders.length; cyl++) {
      workJ += this.#cylinders[cyl]!.step(step, this.#throttles.airAreaM2[cyl]!);
    }
    this.#turnCrank(turnRad > 0 ? workJ / turnRad : 0, dtS);
  }

  #turnCrank(gasTorqueNm: number, dtS: number): void {
    const { inertiaKgM2, starterTorqueNm } = this.parameters;
    const { heldRpm } = this.controls;
    let torqueNm = gasTorqueNm - this.#frictionNm();
    if (this.starter) {
      torqueNm += starterTorqueNm * Math.max(0, 1 - this.speedRadS / STARTER_FREE_RAD_S);
      if (this.speedRadS > STARTER_RELEASE_RAD_S) this.starter = false;
    }
    if (heldRpm !== null) torqueNm -= this.#brakeNm(heldRpm * RAD_S_PER_RPM, dtS);
    const speed = this.speedRadS + (torqueNm / inertiaKgM2) * dtS;
    const standsStill = speed < STALL_RAD_S && !this.starter && heldRpm === null;
    const lowest = heldRpm === null ? 0 : STALL_RAD_S;
    this.speedRadS = standsStill ? 0 : Math.max(lowest, speed);
  }

  /** Mean torque of a friction pressure p: p x displacement / 4 pi (Heywood 1988, eq. 2.19, four-stroke). */
  #frictionNm(): number {
    if (this.speedRadS === 0) return 0;
    const { frictionBasePa, frictionSlopePa, displacementM3 } = this.parameters;
    const frictionPa = frictionBasePa + frictionSlopePa * this.speedRadS;
    return (frictionPa * displacementM3 * this.#cylinders.length) / (4 * Math.PI);
  }

  /** A brake that also drives: soft enough that the crank keeps its unevenness within a turn. */
  #brakeNm(heldRadS: number, dtS: number): number {
    const { inertiaKgM2 } = this.parameters;
    const over = this.speedRadS - heldRadS;
    this.brakeTorqueNm += inertiaKgM2 * BRAKE_RATE_PER_S ** 2 * 0.5 * over * dtS;
    return this.brakeTorqueNm + inertiaKgM2 * BRAKE_RATE_PER_S * over;
  }
}

const DEG_PER_RAD = 180 / Math.PI;
const RAD_S_PER_RPM = Math.PI / 30;
/** Pressures are within 0.2 kPa of those at a quarter of this step. */
const MAX_STEP_DEG = 1.25;
const START_RPM = 1_200;
/**
 * Cooling of the gas by the cylinder's wall at `START_RPM`. It goes with the 0.8th power of gas speed (Woschni's
 * correlation, Heywood 1988, eq. 12.19), so that a slow cycle does not lose its heat to the wall.
 */
const COOLING_PER_S = 12;
const COOLING_POWER = 0.8;
/** After a standstill mixture has to be drawn through the ports before anything fires. */
const DRAW_IN_DEG = 1_100;
/** Slower than this an engine does not get over its next compression. */
const STALL_RAD_S = 12;
const STARTER_FREE_RAD_S = 30;
const STARTER_RELEASE_RAD_S = 70;
const BRAKE_RATE_PER_S = 5;
const LIMITER_RPM = 9_000;
