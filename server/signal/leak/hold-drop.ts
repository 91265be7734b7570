/** How fast a part loses its vacuum, and how much in a time, with the uncertainties of scatter, drift and air pressure. */
import { rectangular } from '../../../calibration/uncertainty.ts';
import type { Figure } from '../check-verdict.ts';
import type { FlowKind, HoldRecord } from './hold-fits.ts';
import type { HoldTestOptions } from './hold-test.ts';
import type { LeakUpFit } from './leak-up-fit.ts';
import { CHOKED_FACTOR, flowFactor } from './orifice-leak.ts';

const DEFAULT_BARO_UNCERTAINTY_KPA = 0.2;
const DEFAULT_DRIFT_KPA_PER_MIN = 0.1;
const MINUTE_S = 60;
/** Near balance the flow is no smaller against the choked one than this, for the drift's share. */
const LEAST_FLOW_GAIN = 0.1;
/** Part of the outside pressure from which on a record tells less of the leak than of that pressure itself ... */
const BAROMETRIC_MATTERS_ABOVE = 0.5;
/** ... and the part of its relative error that counts as the rate's. */
const BAROMETRIC_SHARE = 0.3;
/** What was lost within the record is as sure as a mean of so many times fewer samples. */
const FEWER_SAMPLES = 4;

/** Rise of pressure while the leak is choked, by the orifice law, with the uncertainties of all three together [kPa/s]. */
export function chokedRise(record: HoldRecord, fit: LeakUpFit, options: HoldTestOptions): Figure {
  const outside = options.barometricKpa;
  const endS = record.timeS.at(-1)!;
  const middle = fit.at(0.5 * endS) / outside;
  const gain = Math.max(LEAST_FLOW_GAIN, flowFactor(middle) / CHOKED_FACTOR);
  const drift = (options.driftKpaPerMin ?? DEFAULT_DRIFT_KPA_PER_MIN) / MINUTE_S / gain;
  const baro = options.barometricUncertaintyKpa ?? DEFAULT_BARO_UNCERTAINTY_KPA;
  // Falls off where the flow is choked: then the outside pressure does not matter.
  const byBaro =
    fit.at(endS) / outside > BAROMETRIC_MATTERS_ABOVE
      ? Math.abs(fit.rate) * (baro / Math.max(baro, outside - fit.at(endS)))
      : 0;
  return {
    value: fit.rate,
    standardUncertainty: Math.hypot(fit.rateUncertainty, drift, BAROMETRIC_SHARE * byBaro),
  };
}

export interface DropTerms {
  readonly orifice: LeakUpFit;
  readonly laminar: LeakUpFit | null;
  readonly preferred: FlowKind;
  readonly net: Figure;
  readonly raw: Figure;
  readonly watchedS: number;
  readonly options: HoldTestOptions;
}

/**
 * Loss of vacuum in a time [kPa], the gauge's share taken off; beyond the record the two laws' difference counts as
 * unsure.
 */
export function vacuumLost(seconds: number, terms: DropTerms): Figure {
  const { orifice, laminar, preferred, net, raw, watchedS, options } = terms;
  const share = raw.value > 0 ? Math.max(0, net.value) / raw.value : 1;
  const byOrifice = orifice.at(seconds) - orifice.startKpa;
  const byLaminar = laminar === null ? byOrifice : laminar.at(seconds) - laminar.startKpa;
  const value = share * (preferred === 'laminar' ? byLaminar : byOrifice);
  const beyond =
    seconds > watchedS && preferred === 'either' ? rectangular(Math.abs(byOrifice - byLaminar)) : 0;
  const drift = ((options.driftKpaPerMin ?? DEFAULT_DRIFT_KPA_PER_MIN) * seconds) / MINUTE_S;
  const scatter =
    seconds <= watchedS
      ? orifice.residualSdKpa * Math.sqrt(FEWER_SAMPLES / orifice.effectiveSamples)
      : net.standardUncertainty * seconds;
  return { value, standardUncertainty: Math.hypot(scatter, drift, beyond) };
}

/** Of the law that the samples follow [s]. */
export function timeConstant(
  preferred: FlowKind,
  laminar: LeakUpFit | null,
  net: Figure,
  outside: number,
): Figure {
  if (preferred === 'laminar' && laminar !== null) {
    const value = 1 / laminar.rate;
    return { value, standardUncertainty: (value * laminar.rateUncertainty) / laminar.rate };
  }
  const value = (CHOKED_FACTOR * outside) / net.value;
  return { value, standardUncertainty: (value * net.standardUncertainty) / net.value };
}
