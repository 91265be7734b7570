import { type FiringQuality, wiebeFraction } from './combustion.ts';
import type { EngineControls } from './engine-controls.ts';
import type { EngineListener } from './engine-listener.ts';
import type { EngineParameters } from './engine-parameters.ts';
import { flow, GasVolume } from './gas-volume.ts';
import { AIR_GAMMA, AIR_GAS_CONSTANT } from './orifice.ts';
import type { Random } from './random.ts';
import { STEPS_PER_DEGREE, volumeTable } from './slider-crank.ts';
import { ValveLift } from './valve-lift.ts';

/** What all cylinders share in one step. */
export interface CylinderStep {
  turnDeg: number;
  dtS: number;
  /** Time at the beginning of the step [s]. */
  timeS: number;
  /** Cooling of the hot gas by the wall [1/s]. */
  coolingPerS: number;
  mayFire: boolean;
}

/** Tables over crank angle that all cylinders share. */
export interface CylinderShape {
  readonly volumeM3: Float64Array;
  readonly intakeLift: ValveLift;
  readonly exhaustLift: ValveLift;
}

export function cylinderShape(parameters: EngineParameters): CylinderShape {
  const { displacementM3, compressionRatio, rodToRadius } = parameters;
  return {
    volumeM3: volumeTable(displacementM3, compressionRatio, rodToRadius),
    intakeLift: new ValveLift(parameters.intakeOpensDeg, parameters.intakeClosesDeg),
    exhaustLift: new ValveLift(parameters.exhaustOpensDeg, parameters.exhaustClosesDeg),
  };
}

/** One cylinder with its port: piston, valves, heat of combustion, and the gas in both volumes. */
export class Cylinder {
  readonly port: GasVolume;
  /** Integral of the port's pressure over time [Pa s]. */
  portIntegralPaS = 0;
  readonly #chamber: GasVolume;
  readonly #cyl: number;
  readonly #parameters: EngineParameters;
  readonly #controls: EngineControls;
  readonly #listener: EngineListener;
  readonly #quality: FiringQuality;
  readonly #chance: Random;
  readonly #air: GasVolume;
  readonly #exhaust: GasVolume;
  readonly #volume: Float64Array;
  readonly #intakeLift: ValveLift;
  readonly #exhaustLift: ValveLift;
  readonly #fullChargeKg: number;
  /** Crank degrees after the firing top dead centre, 0…720. */
  #phaseDeg: number;
  /** Part of the intake valve's opening in this cycle, 0 when it stays shut. */
  #breathing = 1;
  /** Crank degrees since the burn began; infinite when nothing burns. */
  #burnDeg = Number.POSITIVE_INFINITY;
  #burnHeatJ = 0;
  #burnKg = 0;

  constructor(
    cyl: number,
    shape: CylinderShape,
    parameters: EngineParameters,
    controls: EngineControls,
    listener: EngineListener,
    surroundings: { readonly air: GasVolume; readonly exhaust: GasVolume },
    chances: { readonly quality: FiringQuality; readonly pulses: Random },
  ) {
    const { ambientPa, ambientK, displacementM3 } = parameters;
    this.#cyl = cyl;
    this.#parameters = parameters;
    this.#controls = controls;
    this.#listener = listener;
    this.#air = surroundings.air;
    this.#exhaust = surroundings.exhaust;
    this.#quality = chances.quality;
    this.#chance = chances.pulses;
    this.#volume = shape.volumeM3;
    this.#intakeLift = shape.intakeLift;
    this.#exhaustLift = shape.exhaustLift;
    this.#fullChargeKg = (ambientPa * displacementM3) / (AIR_GAS_CONSTANT * ambientK);
    this.#phaseDeg = (720 - parameters.layout.intakeAnglesDeg[cyl]!) % 720;
    this.port = GasVolume.closed(START_PORT * ambientPa, PORT_WALL_K, parameters.portVolumeM3, AIR_GAMMA);
    this.#chamber = GasVolume.closed(ambientPa, ambientK, this.#volumeAt(this.#phaseDeg), HOT_GAMMA);
  }

  /** Gas in port and cylinder [kg]. */
  get storedKg(): number {
    return this.port.kg + this.#chamber.kg;
  }

  /** @param airAreaM2 effective area of throttle and leak. @returns work on the piston [J] */
  step(step: CylinderStep, airAreaM2: number): number {
    const { turnDeg, dtS } = step;
    const parameters = this.#parameters;
    const chamber = this.#chamber;
    const { port } = this;
    const portBeforePa = port.pressurePa;
    const phase = this.#turn(step);

    const volumeBefore = chamber.volumeM3;
    const gasWorkJ = chamber.expandTo(this.#volumeAt(phase));
    this.#burn(turnDeg);
    chamber.relax(CYLINDER_WALL_K, step.coolingPerS * dtS);
    const exhaustLift = this.#exhaustLift.at(phase);
    if (exhaustLift > 0) flow(parameters.exhaustValveAreaM2 * exhaustLift, chamber, this.#exhaust, dtS);
    const intakeLift = this.#breathing * this.#intakeLift.at(phase);
    if (intakeLift > 0) flow(parameters.intakeValveAreaM2 * intakeLift, port, chamber, dtS);
    flow(airAreaM2, this.#air, port, dtS);
    port.relax(PORT_WALL_K, PORT_WARMING_PER_S * dtS);

    this.portIntegralPaS += 0.5 * (portBeforePa + port.pressurePa) * dtS;
    return gasWorkJ - parameters.ambientPa * (chamber.volumeM3 - volumeBefore);
  }

  /** Turns the crank and does what falls due at its angles. @returns the new phase [degrees] */
  #turn(step: CylinderStep): number {
    const { turnDeg, dtS } = step;
    const { intakeOpensDeg, burnStartsDeg } = this.#parameters;
    const before = this.#phaseDeg;
    const after = before + turnDeg;
    if (before < intakeOpensDeg && after >= intakeOpensDeg) {
      this.#intakeOpens(step, ((intakeOpensDeg - before) / turnDeg) * dtS);
    }
    if (before < burnStartsDeg && after >= burnStartsDeg) {
      this.#fire(step, ((burnStartsDeg - before) / turnDeg) * dtS, before - burnStartsDeg);
    }
    this.#phaseDeg = after >= 720 ? after - 720 : after;
    return this.#phaseDeg;
  }

  #intakeOpens(step: CylinderStep, afterS: number): void {
    const cyl = this.#cyl;
    const timeS = step.timeS + afterS;
    this.#listener.onIntakeOpens(cyl, timeS, this.portIntegralPaS + this.port.pressurePa * afterS);
    const missed = this.#chance.uniform() < this.#controls.missedPulse[cyl]!;
    this.#breathing = missed ? 0 : 1 - this.#controls.weakBreathing[cyl]!;
    if (missed) this.#listener.onPulseMissed(cyl, timeS);
  }

  #fire(step: CylinderStep, afterS: number, burnDeg: number): void {
    const parameters = this.#parameters;
    const controls = this.#controls;
    const timeS = step.timeS + afterS;
    const drawn = this.#quality.next(
      controls.combustionScatter,
      controls.scatterCorrelation,
      controls.missedFiring[this.#cyl]!,
    );
    const quality = step.mayFire && !controls.sparkOff[this.#cyl]! ? drawn : 0;
    const swing = 1 + controls.mixtureSwing * Math.sin((2 * Math.PI * timeS) / controls.mixtureSwingPeriodS);
    const freshKg = this.#chamber.kg - this.#chamber.burntKg;
    const fill = freshKg / this.#fullChargeKg;
    const burntWell = fill ** 2 / (fill ** 2 + parameters.halfHeatFill ** 2);
    this.#burnKg = freshKg;
    this.#burnHeatJ = freshKg * parameters.heatPerKg * burntWell * quality * swing;
    this.#burnDeg = quality > 0 ? burnDeg : Number.POSITIVE_INFINITY;
    this.#listener.onFiring(this.#cyl, timeS, quality);
  }

  #burn(turnDeg: number): void {
    const length = this.#parameters.burnLengthDeg;
    const before = this.#burnDeg;
    if (before >= length) return;
    this.#burnDeg = before + turnDeg;
    const part = wiebeFraction(this.#burnDeg / length) - wiebeFraction(before / length);
    this.#chamber.burntKg += this.#burnKg * part;
    this.#chamber.heat(this.#burnHeatJ * part);
  }

  #volumeAt(phaseDeg: number): number {
    const place = (phaseDeg >= 360 ? phaseDeg - 360 : phaseDeg) * STEPS_PER_DEGREE;
    const step = Math.floor(place);
    const low = this.#volume[step]!;
    return low + (place - step) * (this.#volume[step + 1]! - low);
  }
}

/** Ratio of specific heats of hot burnt gas (Heywood 1988, section 4.6). */
const HOT_GAMMA = 1.33;
const CYLINDER_WALL_K = 420;
const PORT_WALL_K = 330;
/** A port of some 300 cm³ with 200 cm² of wall at 20 to 50 W/(m² K). */
const PORT_WARMING_PER_S = 10;
/** Pressure of a port when the engine is made, as a part of the ambient; an idling engine's mean. */
const START_PORT = 0.6;
