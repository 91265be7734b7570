import { FiringQuality, wiebeFraction } from './combustion.ts';
import { defaultControls, type EngineControls } from './engine-controls.ts';
import {
  AREA_PER_TURN,
  type EngineParameters,
  LEAK_DISCHARGE,
  SHUT_AREA,
  START_IDLE_TURNS,
} from './engine-parameters.ts';
import { AIR_GAMMA, AIR_GAS_CONSTANT, orificeMassFlow } from './orifice.ts';
import type { Random } from './random.ts';
import { STEPS_PER_DEGREE, volumeTable } from './slider-crank.ts';
import { VacuumSlide } from './vacuum-slide.ts';
import { LIFT_STEPS_PER_DEGREE, liftTable } from './valve-lift.ts';

/** What the engine reports as it turns. */
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

/** Mass that went through the engine's openings since it was made [kg]; for the balance of masses. */
export interface MassTally {
  throughThrottles: number;
  throughExhausts: number;
}

/**
 * The engine: for each cylinder a port volume behind its own throttle, and a cylinder volume with a piston,
 * valves and heat of combustion; one crankshaft for all. Mass and energy are balanced in each volume
 * (perfect gas, filling and emptying model, Heywood 1988, section 14.2), so port pressure, idle speed and
 * their scatter follow from openings, volumes and firings.
 */
export class Engine {
  readonly parameters: EngineParameters;
  readonly controls: EngineControls;
  readonly tally: MassTally = { throughThrottles: 0, throughExhausts: 0 };
  /** Time since the engine was made [s]. */
  timeS = 0;
  /** Crank speed [rad/s]. */
  speedRadS: number;
  /** Steady part of the torque that the brake takes from the engine, while a speed is held [N m]. */
  brakeTorqueNm = 0;
  /** The starter motor is engaged. */
  starter = false;
  /** Port pressure per cylinder [Pa absolute]. */
  readonly portPa: Float64Array;
  /** Integral of port pressure over time per cylinder [Pa s]. */
  readonly portIntegralPaS: Float64Array;

  readonly #listener: EngineListener;
  readonly #volume: Float64Array;
  readonly #intakeLift: Float64Array;
  readonly #exhaustLift: Float64Array;
  readonly #quality: FiringQuality[];
  readonly #chance: Random[];
  readonly #slides: VacuumSlide[];
  readonly #phaseDeg: Float64Array;
  readonly #portKg: Float64Array;
  readonly #portBurntKg: Float64Array;
  readonly #cylinderPa: Float64Array;
  readonly #cylinderKg: Float64Array;
  readonly #cylinderBurntKg: Float64Array;
  /** Throttle and leak together [m²]. */
  readonly #airArea: Float64Array;
  /** Part of the intake valve's opening in this cycle, 0 when it stays shut. */
  readonly #breathing: Float64Array;
  readonly #fullChargeKg: number;
  /** How far the crank has turned since it stood still [degrees]. */
  #sinceRestDeg = Number.POSITIVE_INFINITY;
  #coolingPerS = 0;
  /** Crank degrees since the spark; beyond the burn length when nothing burns. */
  readonly #burnDeg: Float64Array;
  readonly #burnHeatJ: Float64Array;
  readonly #burnKg: Float64Array;

  constructor(
    parameters: EngineParameters,
    random: Random,
    listener: EngineListener,
    controls: EngineControls = defaultControls(parameters.layout),
  ) {
    const { layout, ambientPa, ambientK } = parameters;
    const n = layout.cylinders;
    this.parameters = parameters;
    this.controls = controls;
    this.#listener = listener;
    this.speedRadS = START_RPM * RAD_S_PER_RPM;
    this.#volume = volumeTable(
      parameters.displacementM3,
      parameters.compressionRatio,
      parameters.rodToRadius,
    );
    this.#intakeLift = liftTable(parameters.intakeOpensDeg, parameters.intakeClosesDeg);
    this.#exhaustLift = liftTable(parameters.exhaustOpensDeg, parameters.exhaustClosesDeg);
    this.#fullChargeKg = (ambientPa * parameters.displacementM3) / (AIR_GAS_CONSTANT * ambientK);
    this.#quality = Array.from({ length: n }, (_, cyl) => new FiringQuality(random.fork(2 * cyl)));
    this.#chance = Array.from({ length: n }, (_, cyl) => random.fork(2 * cyl + 1));
    this.#slides = Array.from({ length: n }, () => new VacuumSlide());
    this.#phaseDeg = Float64Array.from(layout.intakeAnglesDeg, (angle) => (720 - angle) % 720);
    this.portPa = new Float64Array(n).fill(0.6 * ambientPa);
    this.portIntegralPaS = new Float64Array(n);
    const portKg = (0.6 * ambientPa * parameters.portVolumeM3) / (AIR_GAS_CONSTANT * PORT_WALL_K);
    this.#portKg = new Float64Array(n).fill(portKg);
    this.#portBurntKg = new Float64Array(n);
    this.#cylinderPa = new Float64Array(n).fill(ambientPa);
    this.#cylinderKg = this.#phaseDeg.map(
      (phase) => (ambientPa * this.#volumeAt(phase)) / (AIR_GAS_CONSTANT * ambientK),
    );
    this.#cylinderBurntKg = new Float64Array(n);
    this.#airArea = new Float64Array(n);
    this.#breathing = new Float64Array(n).fill(1);
    this.#burnDeg = new Float64Array(n).fill(Number.POSITIVE_INFINITY);
    this.#burnHeatJ = new Float64Array(n);
    this.#burnKg = new Float64Array(n);
  }

  get speedRpm(): number {
    return this.speedRadS / RAD_S_PER_RPM;
  }

  /** Gas in ports and cylinders [kg]. */
  get storedKg(): number {
    let sum = 0;
    for (let cyl = 0; cyl < this.#portKg.length; cyl++) sum += this.#portKg[cyl]! + this.#cylinderKg[cyl]!;
    return sum;
  }

  /** Goes on by `durationS`, in steps of at most `MAX_STEP_DEG` of crank rotation. */
  advance(durationS: number): void {
    this.#setAreas(durationS);
    const steps = Math.max(1, Math.ceil((this.speedRadS * durationS * DEG_PER_RAD) / MAX_STEP_DEG));
    const dtS = durationS / steps;
    const startS = this.timeS;
    for (let step = 1; step <= steps; step++) {
      this.#step(dtS);
      this.timeS = startS + step * dtS;
    }
    this.timeS = startS + durationS;
  }

  #setAreas(dtS: number): void {
    const { parameters, controls } = this;
    const screws = parameters.layout.balanceScrews;
    for (let cyl = 0; cyl < this.#airArea.length; cyl++) {
      let turns = controls.idleTurns - START_IDLE_TURNS + controls.mismatchTurns[cyl]!;
      for (let screw = 0; screw < screws.length; screw++) {
        turns += screws[screw]!.opens[cyl]! * controls.balanceTurns[screw]!;
      }
      const plate =
        parameters.idleAreaM2 * Math.max(SHUT_AREA, 1 + AREA_PER_TURN * turns) +
        parameters.fullAreaM2 * controls.throttle ** 1.5;
      const slide = this.#slides[cyl]!;
      const slideArea = parameters.fullAreaM2 * slide.opening;
      const slideShare = (plate * plate) / (plate * plate + slideArea * slideArea);
      const dropPa = Math.max(0, parameters.ambientPa - this.portPa[cyl]!);
      slide.step(slideShare * dropPa, controls.tornDiaphragm[cyl]!, dtS);
      const leakM = controls.leakMm[cyl]! * 1e-3;
      this.#airArea[cyl] = plate * Math.sqrt(1 - slideShare) + (LEAK_DISCHARGE * Math.PI * leakM * leakM) / 4;
    }
  }

  #step(dtS: number): void {
    const { parameters, controls } = this;
    this.#coolingPerS = CYLINDER_COOLING_PER_S * (this.speedRpm / START_RPM) ** COOLING_POWER;
    const turnRad = this.speedRadS * dtS;
    const turnDeg = turnRad * DEG_PER_RAD;
    this.#sinceRestDeg = turnDeg > 0 ? this.#sinceRestDeg + turnDeg : 0;
    let workJ = 0;
    for (let cyl = 0; cyl < this.portPa.length; cyl++) workJ += this.#stepCylinder(cyl, turnDeg, dtS);
    let torqueNm = turnRad > 0 ? workJ / turnRad : 0;
    if (this.speedRadS > 0) {
      const frictionPa = parameters.frictionBasePa + parameters.frictionSlopePa * this.speedRadS;
      torqueNm -= (frictionPa * parameters.displacementM3 * this.portPa.length) / (4 * Math.PI);
    }
    if (this.starter) {
      torqueNm += parameters.starterTorqueNm * Math.max(0, 1 - this.speedRadS / STARTER_FREE_RAD_S);
      if (this.speedRadS > STARTER_RELEASE_RAD_S) this.starter = false;
    }
    if (controls.heldRpm !== null) torqueNm -= this.#brakeTorque(controls.heldRpm * RAD_S_PER_RPM, dtS);
    let speed = this.speedRadS + (torqueNm / parameters.inertiaKgM2) * dtS;
    if (controls.heldRpm !== null) {
      speed = Math.max(speed, STALL_RAD_S);
    } else if (!this.starter && speed < STALL_RAD_S) {
      speed = 0;
    }
    this.speedRadS = Math.max(0, speed);
  }

  /** A brake that also drives: soft enough that the crank keeps its unevenness within a turn. */
  #brakeTorque(heldRadS: number, dtS: number): number {
    const { inertiaKgM2 } = this.parameters;
    const over = this.speedRadS - heldRadS;
    this.brakeTorqueNm += inertiaKgM2 * BRAKE_RATE_PER_S ** 2 * 0.5 * over * dtS;
    return this.brakeTorqueNm + inertiaKgM2 * BRAKE_RATE_PER_S * over;
  }

  /** @returns work of the gas on the piston [J] */
  #stepCylinder(cyl: number, turnDeg: number, dtS: number): number {
    const { parameters } = this;
    const before = this.#phaseDeg[cyl]!;
    const unwrapped = before + turnDeg;
    const phase = unwrapped >= 720 ? unwrapped - 720 : unwrapped;
    this.#phaseDeg[cyl] = phase;
    const { intakeOpensDeg, burnStartsDeg } = parameters;
    if (before < intakeOpensDeg && unwrapped >= intakeOpensDeg) {
      this.#intakeOpens(cyl, ((intakeOpensDeg - before) / turnDeg) * dtS);
    }
    if (before < burnStartsDeg && unwrapped >= burnStartsDeg) {
      this.#fire(cyl, ((burnStartsDeg - before) / turnDeg) * dtS, unwrapped - burnStartsDeg - turnDeg);
    }

    const volumeBefore = this.#volumeAt(before);
    const volume = this.#volumeAt(phase);
    const swept = volume - volumeBefore;
    const pressureBefore = this.#cylinderPa[cyl]!;
    const squeeze = (HOT_GAMMA * swept) / (volume + volumeBefore);
    let pressure = (pressureBefore * (1 - squeeze)) / (1 + squeeze);
    const workJ = (0.5 * (pressureBefore + pressure) - parameters.ambientPa) * swept;
    pressure += this.#burn(cyl, turnDeg, volume);

    let kg = this.#cylinderKg[cyl]!;
    let burntKg = this.#cylinderBurntKg[cyl]!;
    let temperature = (pressure * volume) / (kg * AIR_GAS_CONSTANT);
    pressure *= 1 - (1 - CYLINDER_WALL_K / temperature) * this.#coolingPerS * dtS;
    temperature = (pressure * volume) / (kg * AIR_GAS_CONSTANT);
    const cylinderStiffness = (HOT_GAMMA * AIR_GAS_CONSTANT) / volume;

    const exhaustLift = liftAt(this.#exhaustLift, phase - parameters.exhaustOpensDeg);
    if (exhaustLift > 0) {
      const out = transfer(
        parameters.exhaustValveAreaM2 * exhaustLift,
        pressure,
        temperature,
        cylinderStiffness,
        parameters.exhaustPa,
        parameters.exhaustK,
        0,
        dtS,
      );
      burntKg -= out > 0 ? (out * burntKg) / kg : out;
      kg -= out;
      pressure -= cylinderStiffness * (out > 0 ? temperature : parameters.exhaustK) * out;
      temperature = (pressure * volume) / (kg * AIR_GAS_CONSTANT);
      this.tally.throughExhausts += out;
    }

    let portPa = this.portPa[cyl]!;
    let portKg = this.#portKg[cyl]!;
    let portBurntKg = this.#portBurntKg[cyl]!;
    const portPaBefore = portPa;
    const portScale = parameters.portVolumeM3 / AIR_GAS_CONSTANT;
    const portStiffness = (AIR_GAMMA * AIR_GAS_CONSTANT) / parameters.portVolumeM3;
    let portK = (portPa * portScale) / portKg;

    const intakeLift = this.#breathing[cyl]! * liftAt(this.#intakeLift, phase - intakeOpensDeg);
    if (intakeLift > 0) {
      const into = transfer(
        parameters.intakeValveAreaM2 * intakeLift,
        portPa,
        portK,
        portStiffness,
        pressure,
        temperature,
        cylinderStiffness,
        dtS,
      );
      const burntInto = into > 0 ? (into * portBurntKg) / portKg : (into * burntKg) / kg;
      const flowK = into > 0 ? portK : temperature;
      kg += into;
      burntKg += burntInto;
      pressure += cylinderStiffness * flowK * into;
      portKg -= into;
      portBurntKg -= burntInto;
      portPa -= portStiffness * flowK * into;
      portK = (portPa * portScale) / portKg;
    }

    const air = transfer(
      this.#airArea[cyl]!,
      parameters.ambientPa,
      parameters.ambientK,
      0,
      portPa,
      portK,
      portStiffness,
      dtS,
    );
    if (air < 0) portBurntKg += (air * portBurntKg) / portKg;
    portKg += air;
    portPa += portStiffness * (air > 0 ? parameters.ambientK : portK) * air;
    portK = (portPa * portScale) / portKg;
    portPa *= 1 - (1 - PORT_WALL_K / portK) * PORT_WARMING_PER_S * dtS;
    this.tally.throughThrottles += air;

    this.#cylinderPa[cyl] = pressure;
    this.#cylinderKg[cyl] = kg;
    this.#cylinderBurntKg[cyl] = burntKg;
    this.portPa[cyl] = portPa;
    this.#portKg[cyl] = portKg;
    this.#portBurntKg[cyl] = portBurntKg;
    this.portIntegralPaS[cyl]! += 0.5 * (portPaBefore + portPa) * dtS;
    return workJ;
  }

  #intakeOpens(cyl: number, afterS: number): void {
    const timeS = this.timeS + afterS;
    const { weakBreathing, missedPulse } = this.controls;
    this.#listener.onIntakeOpens(cyl, timeS, this.portIntegralPaS[cyl]! + this.portPa[cyl]! * afterS);
    const missed = this.#chance[cyl]!.uniform() < missedPulse[cyl]!;
    this.#breathing[cyl] = missed ? 0 : 1 - weakBreathing[cyl]!;
    if (missed) this.#listener.onPulseMissed(cyl, timeS);
  }

  #fire(cyl: number, afterS: number, burnDeg: number): void {
    const { controls, parameters } = this;
    const timeS = this.timeS + afterS;
    let quality = this.#quality[cyl]!.next(
      controls.combustionScatter,
      controls.scatterCorrelation,
      controls.missedFiring[cyl]!,
    );
    const drawnIn = this.#sinceRestDeg > DRAW_IN_DEG;
    if (!controls.ignition || !drawnIn || this.speedRpm > LIMITER_RPM) quality = 0;
    const swing = 1 + controls.mixtureSwing * Math.sin((2 * Math.PI * timeS) / controls.mixtureSwingPeriodS);
    const freshKg = this.#cylinderKg[cyl]! - this.#cylinderBurntKg[cyl]!;
    this.#burnKg[cyl] = freshKg;
    const fill = freshKg / this.#fullChargeKg;
    const burntWell = fill ** 2 / (fill ** 2 + parameters.halfHeatFill ** 2);
    this.#burnHeatJ[cyl] = freshKg * parameters.heatPerKg * burntWell * quality * swing;
    this.#burnDeg[cyl] = quality > 0 ? burnDeg : Number.POSITIVE_INFINITY;
    this.#listener.onFiring(cyl, timeS, quality);
  }

  /** @returns rise of the cylinder's pressure [Pa] */
  #burn(cyl: number, turnDeg: number, volumeM3: number): number {
    const before = this.#burnDeg[cyl]!;
    const length = this.parameters.burnLengthDeg;
    if (before >= length) return 0;
    const after = before + turnDeg;
    this.#burnDeg[cyl] = after;
    const part = wiebeFraction(after / length) - wiebeFraction(before / length);
    this.#cylinderBurntKg[cyl]! += this.#burnKg[cyl]! * part;
    return ((HOT_GAMMA - 1) * this.#burnHeatJ[cyl]! * part) / volumeM3;
  }

  #volumeAt(phaseDeg: number): number {
    const at = (phaseDeg >= 360 ? phaseDeg - 360 : phaseDeg) * STEPS_PER_DEGREE;
    const step = Math.floor(at);
    const low = this.#volume[step]!;
    return low + (at - step) * (this.#volume[step + 1]! - low);
  }
}

function liftAt(table: Float64Array, sinceOpeningDeg: number): number {
  const at = sinceOpeningDeg * LIFT_STEPS_PER_DEGREE;
  if (at <= 0 || at >= table.length - 1) return 0;
  const step = Math.floor(at);
  const low = table[step]!;
  return low + (at - step) * (table[step + 1]! - low);
}

/**
 * Mass that goes from A to B in a step [kg], at most what makes their pressures equal: near balance an explicit
 * step would overshoot. `stiffness` is the rise of pressure per kilogram and kelvin of what flows in, 0 for
 * the open air.
 */
function transfer(
  areaM2: number,
  pressureA: number,
  temperatureA: number,
  stiffnessA: number,
  pressureB: number,
  temperatureB: number,
  stiffnessB: number,
  dtS: number,
): number {
  const kg = orificeMassFlow(areaM2, pressureA, temperatureA, pressureB, temperatureB) * dtS;
  const upstreamK = kg >= 0 ? temperatureA : temperatureB;
  const balancedKg = (pressureA - pressureB) / (upstreamK * (stiffnessA + stiffnessB));
  return Math.abs(kg) > Math.abs(balancedKg) ? balancedKg : kg;
}

const DEG_PER_RAD = 180 / Math.PI;
const RAD_S_PER_RPM = Math.PI / 30;
const MAX_STEP_DEG = 1.25;
const START_RPM = 1_200;
/** Ratio of specific heats of hot burnt gas (Heywood 1988, section 4.6). */
const HOT_GAMMA = 1.33;
const CYLINDER_WALL_K = 420;
/**
 * Cooling of the gas by the wall [1/s] at `START_RPM`. It goes with the 0.8th power of gas speed (Woschni's
 * correlation, Heywood 1988, eq. 12.19), so that a slow cycle does not lose its heat to the wall.
 */
const CYLINDER_COOLING_PER_S = 12;
const COOLING_POWER = 0.8;
const PORT_WALL_K = 330;
const PORT_WARMING_PER_S = 10;
const STALL_RAD_S = 12;
const STARTER_FREE_RAD_S = 30;
const STARTER_RELEASE_RAD_S = 70;
const BRAKE_RATE_PER_S = 5;
/** After a standstill mixture has to be drawn through the ports before anything fires. */
const DRAW_IN_DEG = 1_100;
const LIMITER_RPM = 9_000;
