import type { EngineControls } from './engine-controls.ts';
import {
  AREA_PER_TURN,
  CABLE_SLACK,
  CABLE_TRAVEL_PER_TURN,
  type EngineParameters,
  LEAK_DISCHARGE,
  SHUT_AREA,
  START_IDLE_TURNS,
} from './engine-parameters.ts';
import { VacuumSlide } from './vacuum-slide.ts';

/** All ways by which air gets into the ports: throttle plates behind their slides, and leaks. */
export class Throttles {
  /** Effective area per cylinder [m²]. */
  readonly airAreaM2: Float64Array;
  readonly #parameters: EngineParameters;
  readonly #slides: VacuumSlide[];

  constructor(parameters: EngineParameters) {
    const { cylinders } = parameters.layout;
    this.#parameters = parameters;
    this.#slides = Array.from({ length: cylinders }, () => new VacuumSlide());
    this.airAreaM2 = new Float64Array(cylinders);
  }

  /** Sets the openings for the next `dtS` from the controls; slides move meanwhile. */
  step(controls: EngineControls, portPa: Float64Array, dtS: number): void {
    const { fullAreaM2, ambientPa } = this.#parameters;
    for (let cyl = 0; cyl < this.airAreaM2.length; cyl++) {
      const plate = this.#plateM2(controls, cyl);
      const slide = this.#slides[cyl]!;
      const slideM2 = fullAreaM2 * slide.opening;
      // Two openings in series share the drop of pressure as the inverse squares of their areas.
      const slideShare = (plate * plate) / (plate * plate + slideM2 * slideM2);
      const dropPa = Math.max(0, ambientPa - portPa[cyl]!);
      slide.step(slideShare * dropPa, controls.tornDiaphragm[cyl]!, dtS);
      const leakM = controls.leakCovered[cyl]! ? 0 : controls.leakMm[cyl]! * 1e-3;
      this.airAreaM2[cyl] =
        plate * Math.sqrt(1 - slideShare) + (LEAK_DISCHARGE * Math.PI * leakM * leakM) / 4;
    }
  }

  /** Every throttle rests on its stop or, where it has a cable of its own, hangs on it when that holds it further open. */
  #plateM2(controls: EngineControls, cyl: number): number {
    const { layout, idleAreaM2, fullAreaM2 } = this.#parameters;
    let turns = controls.idleTurns - START_IDLE_TURNS + controls.mismatchTurns[cyl]!;
    let cableTurns = layout.cableMismatchTurns?.[cyl] ?? 0;
    for (let screw = 0; screw < layout.balanceScrews.length; screw++) {
      const { what, opens } = layout.balanceScrews[screw]!;
      const by = opens[cyl]! * controls.balanceTurns[screw]!;
      if (what === 'cable adjuster') cableTurns += by;
      else turns += by;
    }
    const atRest = idleAreaM2 * Math.max(SHUT_AREA, 1 + AREA_PER_TURN * turns);
    if (layout.cableMismatchTurns === undefined)
      return atRest + fullAreaM2 * controls.throttle ** THROTTLE_POWER;
    const pulled = Math.max(0, controls.throttle - CABLE_SLACK + CABLE_TRAVEL_PER_TURN * cableTurns);
    return Math.max(atRest, fullAreaM2 * pulled ** THROTTLE_POWER);
  }
}

/** The open area goes with this power of the travel of hand or cable: little at first (common practice, no source). */
const THROTTLE_POWER = 1.5;
