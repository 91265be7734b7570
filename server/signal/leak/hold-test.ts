/**
 * Hold test: a closed part (vacuum tap, diaphragm, hose, petcock) is pumped down by hand and watched. Does it hold?
 *
 * The end of pumping is found in the record, a leak-up is fitted from there on under two kinds of flow, and the
 * figures follow from the fit; the gauge's own leak, known from a blank test, is taken off.
 */
import { findHoldStretch } from './hold-stretch.ts';
import { fitLeakUp, type LeakLaw, type LeakUpFit } from './leak-up-fit.ts';
import type { Figure, LeakVerdict } from './leak-verdict.ts';
import {
  CHOKED_FACTOR,
  chokedRiseKpaPerS,
  flowFactor,
  type Heat,
  heatFactor,
  leakUpTimeS,
} from './orifice-leak.ts';

export interface HoldTestOptions {
  readonly barometricKpa: number;
  /** Standard uncertainty of the barometric pressure against this sensor [kPa]. Default 0.2. */
  readonly barometricUncertaintyKpa?: number;
  /** The part passes when it loses no more vacuum than this in that time. Default: `DEFAULT_PASS_LIMIT`. */
  readonly passLimit?: PassLimit;
  /** How fast the sensor itself may drift, standard uncertainty [kPa/min]. Default 0.1. */
  readonly driftKpaPerMin?: number;
  /** The same test with the hose plugged: rise of pressure while choked [kPa/s], and the closed volume then [ml]. */
  readonly blank?: { readonly chokedKpaPerS: Figure; readonly volumeMl: number };
  /** Closed volume of part, hose and gauge together; without it there is no conductance and no hole. */
  readonly volumeMl?: Figure;
  readonly temperatureK?: number;
  /** Of the equivalent hole. Default 0.6 ± 0.03, a sharp edge (common practice, no source). */
  readonly dischargeCoefficient?: Figure;
  /** Default 'isothermal': right for anything slower than a second or two. */
  readonly heat?: Heat;
}

export interface PassLimit {
  readonly dropKpa: number;
  readonly inS: number;
}

/** Common practice, no source: the part's service data come first. */
export const DEFAULT_PASS_LIMIT: PassLimit = { dropKpa: 1, inS: 60 };

export interface HoldTestResult {
  readonly verdict: LeakVerdict;
  /** Why it cannot be told; null when it can. */
  readonly reason: HoldReason | null;
  readonly whatToDo: string;
  /** Standard deviations between the drop and the limit: how sure the verdict is. */
  readonly strength: number | null;
  /** The pump was taken off at [s]; null when no stroke was seen. */
  readonly pumpedUntilS: number | null;
  /** Length of the record that was used [s]. */
  readonly watchedS: number;
  readonly startVacuumKpa: number | null;
  /** Vacuum lost in the first minute [kPa]; beyond the record by the law that fits better. */
  readonly firstMinuteDropKpa: Figure | null;
  /** Vacuum lost within the pass limit's time [kPa]. */
  readonly limitDropKpa: Figure | null;
  /** Orifice if the opening is a hole, laminar if it is a long narrow gap or a porous wall. */
  readonly flow: 'orifice' | 'laminar' | 'either';
  /** Rise of pressure while the leak is choked, or would be, gauge's own leak taken off [kPa/s]; null inside noise or drift. */
  readonly chokedKpaPerS: Figure | null;
  /** The fitted law's time constant: p0 φ* over the choked rise, or that of the exponential [s]. */
  readonly timeConstantS: Figure | null;
  /** Volume of outside air that the choked leak draws in [ml/s]. */
  readonly conductanceMlPerS: Figure | null;
  /** Choked throughput V dp/dt [Pa m³/s]; 0.1 Pa m³/s is 1 mbar l/s. */
  readonly throughputPaM3PerS: Figure | null;
  readonly holeMm: Figure | null;
  readonly residualSdKpa: number | null;
}

export type HoldReason =
  | 'no-record'
  | 'not-pumped-down'
  | 'too-short'
  | 'inside-noise-or-drift'
  | 'near-the-limit'
  | 'does-not-fit';

const DEFAULT_BARO_UNCERTAINTY_KPA = 0.2;
const DEFAULT_DRIFT_KPA_PER_MIN = 0.1;
const DEFAULT_TEMPERATURE_K = 293.15;
const DEFAULT_DISCHARGE: Figure = { value: 0.6, standardUncertainty: 0.03 };
/** Less vacuum than this was not pumped [kPa]. */
const LEAST_VACUUM_KPA = 5;
/** Above this ratio of pressures an opening is laminar and the gauge's zero tells more than the leak. */
const MOST_RATIO = 0.98;
const FEWEST_SAMPLES = 12;
/** A rate is told from this many of its standard uncertainties on. */
const TOLD_SIGMAS = 4;
/** A verdict keeps this many standard uncertainties from the limit. */
const SURE_SIGMAS = 2;
/** Twice the log of the likelihoods' ratio from which one law is preferred. */
const PREFER_BY = 12;
/** A law that misses the samples by more than this many times their scatter is no law of this record. */
const MISFIT = 3;
const MOST_MISFIT_KPA = 0.3;
const MINUTE_S = 60;

/**
 * @param timeS rising times [s]
 * @param kpa absolute pressure at the gauge, as many; NaN where a sample is missing
 */
export function holdTest(
  timeS: ArrayLike<number>,
  kpa: ArrayLike<number>,
  options: HoldTestOptions,
): HoldTestResult {
  const stretch = findHoldStretch(timeS, kpa);
  if (stretch === null) return untold('no-record', null, 0, null);
  const record = valid(timeS, kpa, stretch.fromRow, stretch.toRow);
  const watchedS = record.timeS.at(-1) ?? 0;
  const { pumpedUntilS } = stretch;
  if (record.timeS.length < FEWEST_SAMPLES) return untold('too-short', pumpedUntilS, watchedS, null);
  const outside = options.barometricKpa;
  const lowest = record.kpa.slice(0, FEWEST_SAMPLES).sort((a, b) => a - b)[FEWEST_SAMPLES >> 1]!;
  if (outside - lowest < LEAST_VACUUM_KPA)
    return untold('not-pumped-down', pumpedUntilS, watchedS, outside - lowest);

  const fits = fitsOf(record, outside);
  if (fits === null) return untold('does-not-fit', pumpedUntilS, watchedS, outside - lowest);
  const { orifice, laminar, used } = fits;
  const preferred = preference(orifice, laminar);
  const best = laminar !== null && laminar.sumOfSquares < orifice.sumOfSquares ? laminar : orifice;
  const startVacuumKpa = outside - best.startKpa;
  if (misfitKpa(record, used, best) > Math.max(MOST_MISFIT_KPA, MISFIT * scatterOf(record, used)))
    return untold('does-not-fit', pumpedUntilS, watchedS, startVacuumKpa);

  const raw = chokedRise(record, orifice, options);
  const own = options.blank;
  const gauge =
    own === undefined
      ? { value: 0, standardUncertainty: 0 }
      : times(own.chokedKpaPerS, own.volumeMl / (options.volumeMl?.value ?? own.volumeMl));
  const net = {
    value: raw.value - gauge.value,
    standardUncertainty: Math.hypot(raw.standardUncertainty, gauge.standardUncertainty),
  };
  const dropIn = (seconds: number): Figure =>
    drop(seconds, { orifice, laminar, preferred, net, raw, watchedS, outside, options });
  const limit = options.passLimit ?? DEFAULT_PASS_LIMIT;
  const limitDropKpa = dropIn(limit.inS);
  const strength = (limitDropKpa.value - limit.dropKpa) / limitDropKpa.standardUncertainty;
  const told = net.value > TOLD_SIGMAS * net.standardUncertainty;
  const verdict: LeakVerdict =
    strength > SURE_SIGMAS ? 'found' : strength < -SURE_SIGMAS ? 'not-found' : 'cannot-tell';
  const reason = verdict !== 'cannot-tell' ? null : told ? 'near-the-limit' : 'inside-noise-or-drift';
  return {
    verdict,
    reason,
    whatToDo: whatToDo(verdict, reason),
    strength: Math.abs(strength),
    pumpedUntilS,
    watchedS,
    startVacuumKpa,
    firstMinuteDropKpa: dropIn(MINUTE_S),
    limitDropKpa,
    flow: preferred,
    chokedKpaPerS: told ? net : null,
    timeConstantS: told ? timeConstant(preferred, laminar, net, outside) : null,
    ...(told ? openingOf(net, options) : NO_OPENING),
    residualSdKpa: best.residualSdKpa,
  };
}

interface HoldRecord {
  readonly timeS: number[];
  readonly kpa: number[];
}

function valid(timeS: ArrayLike<number>, kpa: ArrayLike<number>, from: number, to: number): HoldRecord {
  const record: HoldRecord = { timeS: [], kpa: [] };
  for (let row = from; row < to; row++) {
    const value = kpa[row]!;
    if (value - value !== 0) continue;
    record.timeS.push(timeS[row]! - timeS[from]!);
    record.kpa.push(value);
  }
  return record;
}

interface Fits {
  readonly orifice: LeakUpFit;
  readonly laminar: LeakUpFit | null;
  /** Samples used: the rest is too near balance. */
  readonly used: number;
}

/** Fits, then leaves out what the fit says is too near balance, and fits again. */
function fitsOf(record: HoldRecord, outside: number): Fits | null {
  let used = record.timeS.length;
  let orifice = fitLeakUp('orifice', record.timeS, record.kpa, outside);
  if (orifice === null) return null;
  const endS = leakUpTimeS(orifice.startKpa, MOST_RATIO * outside, orifice.rate, outside);
  if (orifice.rate > 0 && endS < record.timeS.at(-1)!) {
    const first = record.timeS.findIndex((t) => t > endS);
    used = Math.max(FEWEST_SAMPLES, first);
    orifice = fitLeakUp('orifice', record.timeS.slice(0, used), record.kpa.slice(0, used), outside);
    if (orifice === null) return null;
  }
  const some = { timeS: record.timeS.slice(0, used), kpa: record.kpa.slice(0, used) };
  const laws: LeakLaw[] = ['viscous', 'exponential'];
  const laminar = laws
    .map((law) => fitLeakUp(law, some.timeS, some.kpa, outside))
    .reduce((a, b) => (a === null || (b !== null && b.sumOfSquares < a.sumOfSquares) ? b : a));
  return { orifice, laminar, used };
}

/** By twice the log of the ratio of the likelihoods of normal errors, in samples that count as independent. */
function preference(orifice: LeakUpFit, laminar: LeakUpFit | null): 'orifice' | 'laminar' | 'either' {
  if (laminar === null) return 'orifice';
  const samples = Math.max(orifice.effectiveSamples, laminar.effectiveSamples);
  const twiceLog = samples * Math.log(laminar.sumOfSquares / orifice.sumOfSquares);
  if (twiceLog > PREFER_BY) return 'orifice';
  return twiceLog < -PREFER_BY ? 'laminar' : 'either';
}

/** Root mean square of tenths of the record about the fit: what is left of a wrong law when noise is averaged out [kPa]. */
function misfitKpa(record: HoldRecord, used: number, fit: LeakUpFit): number {
  const parts = 10;
  let squares = 0;
  for (let part = 0; part < parts; part++) {
    const from = Math.floor((part * used) / parts);
    const to = Math.floor(((part + 1) * used) / parts);
    let sum = 0;
    for (let at = from; at < to; at++) sum += record.kpa[at]! - fit.at(record.timeS[at]!);
    if (to > from) squares += (sum / (to - from)) ** 2;
  }
  return Math.sqrt(squares / parts);
}

/** Scatter of single samples from their successive differences [kPa]. */
function scatterOf(record: HoldRecord, used: number): number {
  let squares = 0;
  for (let at = 1; at < used; at++) squares += (record.kpa[at]! - record.kpa[at - 1]!) ** 2;
  return Math.sqrt(squares / (2 * Math.max(1, used - 1)));
}

/** The orifice law's rate with the uncertainties of scatter, drift and barometric pressure together. */
function chokedRise(record: HoldRecord, fit: LeakUpFit, options: HoldTestOptions): Figure {
  const outside = options.barometricKpa;
  const endS = record.timeS.at(-1)!;
  const middle = fit.at(0.5 * endS) / outside;
  const gain = Math.max(0.1, flowFactor(middle) / CHOKED_FACTOR);
  const drift = (options.driftKpaPerMin ?? DEFAULT_DRIFT_KPA_PER_MIN) / MINUTE_S / gain;
  const baro = options.barometricUncertaintyKpa ?? DEFAULT_BARO_UNCERTAINTY_KPA;
  // Falls off where the flow is choked: then the outside pressure does not matter.
  const byBaro =
    fit.at(endS) / outside > 0.5 ? Math.abs(fit.rate) * (baro / Math.max(baro, outside - fit.at(endS))) : 0;
  return { value: fit.rate, standardUncertainty: Math.hypot(fit.rateUncertainty, drift, 0.3 * byBaro) };
}

interface DropTerms {
  readonly orifice: LeakUpFit;
  readonly laminar: LeakUpFit | null;
  readonly preferred: 'orifice' | 'laminar' | 'either';
  readonly net: Figure;
  readonly raw: Figure;
  readonly watchedS: number;
  readonly outside: number;
  readonly options: HoldTestOptions;
}

/** Loss of vacuum in a time, the gauge's share taken off; beyond the record the two laws' difference counts as unsure. */
function drop(seconds: number, terms: DropTerms): Figure {
  const { orifice, laminar, preferred, net, raw, watchedS, options } = terms;
  const share = raw.value > 0 ? Math.max(0, net.value) / raw.value : 1;
  const byOrifice = orifice.at(seconds) - orifice.startKpa;
  const byLaminar = laminar === null ? byOrifice : laminar.at(seconds) - laminar.startKpa;
  const value = share * (preferred === 'laminar' ? byLaminar : byOrifice);
  const beyond =
    seconds > watchedS && preferred === 'either' ? Math.abs(byOrifice - byLaminar) / Math.sqrt(3) : 0;
  const relative = raw.value !== 0 ? net.standardUncertainty / Math.abs(raw.value) : 1;
  const drift = ((options.driftKpaPerMin ?? DEFAULT_DRIFT_KPA_PER_MIN) * seconds) / MINUTE_S;
  const scatter =
    seconds <= watchedS
      ? orifice.residualSdKpa * Math.sqrt(4 / orifice.effectiveSamples)
      : Math.min(
          net.standardUncertainty * seconds,
          relative * Math.abs(byOrifice) + net.standardUncertainty * seconds,
        );
  return { value, standardUncertainty: Math.hypot(scatter, drift, beyond) };
}

function timeConstant(
  preferred: 'orifice' | 'laminar' | 'either',
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

type Opening = Pick<HoldTestResult, 'conductanceMlPerS' | 'throughputPaM3PerS' | 'holeMm'>;
const NO_OPENING: Opening = { conductanceMlPerS: null, throughputPaM3PerS: null, holeMm: null };

/** First-order propagation of rate, volume and discharge coefficient (JCGM 100, 5.1.2). */
function openingOf(rise: Figure, options: HoldTestOptions): Opening {
  const volume = options.volumeMl;
  if (volume === undefined) return NO_OPENING;
  const discharge = options.dischargeCoefficient ?? DEFAULT_DISCHARGE;
  const heat = options.heat ?? 'isothermal';
  const relative = Math.hypot(
    rise.standardUncertainty / rise.value,
    volume.standardUncertainty / volume.value,
  );
  const isothermalRise = rise.value / heatFactor(heat);
  const throughput = volume.value * 1e-6 * isothermalRise * 1000;
  const conductance = (volume.value * isothermalRise) / options.barometricKpa;
  const oneMm = chokedRiseKpaPerS(1, {
    volumeMl: volume.value,
    outsideKpa: options.barometricKpa,
    temperatureK: options.temperatureK ?? DEFAULT_TEMPERATURE_K,
    dischargeCoefficient: discharge.value,
    heat,
  });
  const hole = Math.sqrt(rise.value / oneMm);
  const ofHole = 0.5 * Math.hypot(relative, discharge.standardUncertainty / discharge.value);
  return {
    throughputPaM3PerS: { value: throughput, standardUncertainty: throughput * relative },
    conductanceMlPerS: { value: conductance, standardUncertainty: conductance * relative },
    holeMm: { value: hole, standardUncertainty: hole * ofHole },
  };
}

function times(figure: Figure, factor: number): Figure {
  return { value: figure.value * factor, standardUncertainty: figure.standardUncertainty * factor };
}

function untold(
  reason: HoldReason,
  pumpedUntilS: number | null,
  watchedS: number,
  startVacuumKpa: number | null,
): HoldTestResult {
  return {
    verdict: 'cannot-tell',
    reason,
    whatToDo: whatToDo('cannot-tell', reason),
    strength: null,
    pumpedUntilS,
    watchedS,
    startVacuumKpa,
    firstMinuteDropKpa: null,
    limitDropKpa: null,
    flow: 'either',
    chokedKpaPerS: null,
    timeConstantS: null,
    ...NO_OPENING,
    residualSdKpa: null,
  };
}

const WHAT_TO_DO: Record<HoldReason, string> = {
  'no-record': 'Nothing was recorded: check the hose and the channel, then pump the part down again.',
  'not-pumped-down':
    'The pressure never fell well below the air outside: pump again, and if it will not fall the leak is gross.',
  'too-short':
    'The part was watched for too short a time: pump it down again and leave it alone for a minute.',
  'inside-noise-or-drift':
    'The drop is no larger than the noise and drift of the sensor: watch for longer, and do a blank test with the hose plugged.',
  'near-the-limit': 'The drop is too near the limit to call: watch for longer, or repeat with a blank test.',
  'does-not-fit':
    'The pressure did not rise as a leak makes it rise: leave pump and hoses untouched, and do the test again.',
};

function whatToDo(verdict: LeakVerdict, reason: HoldReason | null): string {
  if (reason !== null) return WHAT_TO_DO[reason];
  return verdict === 'found'
    ? 'It does not hold: check hose and joints with a blank test first, then renew or reseal the part. Service data come first.'
    : 'It holds within the limit: look elsewhere. Service data come first.';
}
