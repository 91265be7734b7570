import type { Random } from './random.ts';

/** One channel from the port's nipple to the raw count. */
export interface TapSettings {
  /** First-order lag of the hose [s], 0 = none. */
  readonly lagS: number;
  /** Ringing of the hose: natural frequency [Hz], or null for none; and damping ratio, 0.05…1. */
  readonly ringHz: number | null;
  readonly ringDamping: number;
  /** Lag of a restrictor in the hose [s], 0 = none. It comes on top of the hose. */
  readonly restrictorLagS: number;
  /** Pulled off the port: the sensor reads barometric pressure. */
  readonly off: boolean;
  /** Kinked or plugged: the sensor keeps the pressure it had. */
  readonly blocked: boolean;
  /** Standard deviation of the sensor's noise [kPa]. */
  readonly noiseKpa: number;
  /** Error of span and zero of the sensor: reading = gain x pressure + offset. */
  readonly gain: number;
  readonly offsetKpa: number;
}

export const PLAIN_TAP: TapSettings = {
  lagS: 0,
  ringHz: null,
  ringDamping: 0.3,
  restrictorLagS: 0,
  off: false,
  blocked: false,
  noiseKpa: 0,
  gain: 1,
  offsetKpa: 0,
};

/**
 * The gas path of one channel, stepped on a fixed grid: hose and restrictor as first-order lags, a ringing hose
 * as a second-order low pass. All have gain 1 for a steady pressure. The lags are exact for a pressure that goes
 * in straight lines between the grid's points.
 */
export class PressureTap {
  settings: TapSettings;
  /** Pressure at the sensor [Pa absolute], without noise. */
  pressurePa: number;
  readonly #noise: Random;
  #inputPa: number;
  #hosePa: number;
  #ringPa: number;
  #ringRatePaS = 0;

  constructor(settings: TapSettings, startPa: number, noise: Random) {
    this.settings = settings;
    this.#noise = noise;
    this.pressurePa = startPa;
    this.#inputPa = startPa;
    this.#hosePa = startPa;
    this.#ringPa = startPa;
  }

  step(portPa: number, ambientPa: number, dtS: number): void {
    const { settings } = this;
    const input = settings.off ? ambientPa : portPa;
    const before = this.#inputPa;
    this.#inputPa = input;
    if (settings.blocked) return;
    const hoseBefore = this.#hosePa;
    this.#hosePa = lag(hoseBefore, before, input, settings.lagS, dtS);
    const ringBefore = this.#ringPa;
    if (settings.ringHz === null) {
      this.#ringPa = this.#hosePa;
      this.#ringRatePaS = 0;
    } else {
      this.#ring(hoseBefore, this.#hosePa, 2 * Math.PI * settings.ringHz, settings.ringDamping, dtS);
    }
    this.pressurePa = lag(this.pressurePa, ringBefore, this.#ringPa, settings.restrictorLagS, dtS);
  }

  /** What the sensor makes of a pressure at it [kPa], noise included. */
  sensorKpa(pressurePa: number): number {
    const { gain, offsetKpa, noiseKpa } = this.settings;
    const noise = noiseKpa > 0 ? noiseKpa * this.#noise.normal() : 0;
    return (gain * pressurePa) / 1000 + offsetKpa + noise;
  }

  /** Trapezoidal rule, solved for the new rate: stable at every frequency. */
  #ring(from: number, to: number, omega: number, damping: number, dtS: number): void {
    const h = dtS / 2;
    const drive = omega * omega * (from + to - 2 * this.#ringPa - h * this.#ringRatePaS);
    const rate =
      (this.#ringRatePaS * (1 - 2 * damping * omega * h) + h * drive) /
      (1 + 2 * damping * omega * h + omega * omega * h * h);
    this.#ringPa += h * (this.#ringRatePaS + rate);
    this.#ringRatePaS = rate;
  }
}

/** A first-order lag over one step in which its input goes in a straight line. */
function lag(state: number, from: number, to: number, lagS: number, dtS: number): number {
  if (lagS <= 0) return to;
  const keep = Math.exp(-dtS / lagS);
  const slope = (to - from) / dtS;
  return to - slope * lagS + (state - from + slope * lagS) * keep;
}

/**
 * A sensor with a straight transfer function, as a share of its supply: counts / full scale = slope x kPa + zero.
 */
export interface TransferFunction {
  readonly sensorType: string;
  readonly perKpa: number;
  readonly zero: number;
}

/** Motorola MPX4115A data sheet, transfer function: Vout = VS (0.009 P - 0.095), 15 to 115 kPa. */
export const MPX4115A: TransferFunction = { sensorType: 'MPX4115A', perKpa: 0.009, zero: -0.095 };

/** A pressure as the raw count of a converter whose full scale is the sensor's supply. */
export function toCounts(kpa: number, transfer: TransferFunction, fullScaleCounts: number): number {
  const share = transfer.perKpa * kpa + transfer.zero;
  return Math.round(Math.min(1, Math.max(0, share)) * fullScaleCounts);
}

/** The pressure that a raw count stands for [kPa]. */
export function fromCounts(counts: number, transfer: TransferFunction, fullScaleCounts: number): number {
  return (counts / fullScaleCounts - transfer.zero) / transfer.perKpa;
}
