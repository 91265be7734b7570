import { AIR_GAS_CONSTANT, orificeMassFlow } from './orifice.ts';

/** Gas in a volume, fresh and burnt well mixed; or the open air, whose state no flow changes. */
export class GasVolume {
  pressurePa: number;
  temperatureK: number;
  volumeM3: number;
  /** For the open air: what it has gained [kg]. */
  kg: number;
  burntKg = 0;
  readonly gamma: number;
  readonly #open: boolean;
  readonly #openBurntShare: number;

  private constructor(
    pressurePa: number,
    temperatureK: number,
    volumeM3: number,
    gamma: number,
    open: boolean,
    openBurntShare: number,
  ) {
    this.pressurePa = pressurePa;
    this.temperatureK = temperatureK;
    this.volumeM3 = volumeM3;
    this.gamma = gamma;
    this.#open = open;
    this.#openBurntShare = openBurntShare;
    this.kg = open ? 0 : (pressurePa * volumeM3) / (AIR_GAS_CONSTANT * temperatureK);
  }

  /** A closed volume of fresh gas. */
  static closed(pressurePa: number, temperatureK: number, volumeM3: number, gamma: number): GasVolume {
    return new GasVolume(pressurePa, temperatureK, volumeM3, gamma, false, 0);
  }

  /** Surroundings of constant state, of which `burntShare` is burnt gas. */
  static open(pressurePa: number, temperatureK: number, burntShare: number): GasVolume {
    return new GasVolume(pressurePa, temperatureK, Number.POSITIVE_INFINITY, 1, true, burntShare);
  }

  get burntShare(): number {
    return this.#open ? this.#openBurntShare : this.burntKg / this.kg;
  }

  /** Rise of pressure per kilogram and kelvin of what flows in [Pa/(kg K)]; 0 for the open air. */
  get stiffness(): number {
    return (this.gamma * AIR_GAS_CONSTANT) / this.volumeM3;
  }

  /** Takes in gas, or gives it off when `kg` is negative; it brings its enthalpy (first law for an open volume). */
  add(kg: number, kelvin: number, burntShare: number): void {
    this.kg += kg;
    this.burntKg += kg * burntShare;
    if (!this.#open) this.#setPressure(this.pressurePa + this.stiffness * kelvin * kg);
  }

  /** Changes the volume without heat. @returns work of the gas [J] */
  expandTo(volumeM3: number): number {
    const swept = volumeM3 - this.volumeM3;
    const squeeze = (this.gamma * swept) / (volumeM3 + this.volumeM3);
    const before = this.pressurePa;
    this.volumeM3 = volumeM3;
    this.#setPressure((before * (1 - squeeze)) / (1 + squeeze));
    return 0.5 * (before + this.pressurePa) * swept;
  }

  heat(joule: number): void {
    this.#setPressure(this.pressurePa + ((this.gamma - 1) * joule) / this.volumeM3);
  }

  /** Takes `share` of the way to the wall's temperature. */
  relax(wallK: number, share: number): void {
    this.#setPressure(this.pressurePa * (1 - (1 - wallK / this.temperatureK) * share));
  }

  #setPressure(pressurePa: number): void {
    this.pressurePa = pressurePa;
    this.temperatureK = (pressurePa * this.volumeM3) / (this.kg * AIR_GAS_CONSTANT);
  }
}

/**
 * Lets gas flow through an opening for a step, at most what makes the pressures equal: near balance an explicit step
 * would overshoot.
 *
 * @param areaM2 effective area of the opening
 */
export function flow(areaM2: number, a: GasVolume, b: GasVolume, dtS: number): void {
  const free = orificeMassFlow(areaM2, a.pressurePa, a.temperatureK, b.pressurePa, b.temperatureK) * dtS;
  const from = free >= 0 ? a : b;
  const to = free >= 0 ? b : a;
  const kelvin = from.temperatureK;
  const balanced = (from.pressurePa - to.pressurePa) / (kelvin * (from.stiffness + to.stiffness));
  const kg = Math.min(Math.abs(free), balanced);
  const burntShare = from.burntShare;
  from.add(-kg, kelvin, burntShare);
  to.add(kg, kelvin, burntShare);
}
