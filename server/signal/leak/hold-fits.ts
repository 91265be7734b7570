/** The laws of flow fitted to a part that was pumped down and left alone, and which of them it follows. */
import { fitLeakUp, type LeakLaw, type LeakUpFit } from './leak-up-fit.ts';
import { leakUpTimeS } from './orifice-leak.ts';

/** Above this ratio of pressures an opening is laminar and the gauge's zero tells more than the leak. */
const MOST_RATIO = 0.98;
/** Samples without which nothing is fitted. */
export const FEWEST_SAMPLES = 12;
/** Twice the log of the likelihoods' ratio from which one law is preferred. */
const PREFER_BY = 12;
/** A law that misses the samples by more than this many times their scatter is no law of this record. */
const MISFIT = 3;
const MOST_MISFIT_KPA = 0.3;
/** Parts of the record over which noise is averaged out to see the misfit. */
const MISFIT_PARTS = 10;

/** Samples of the stretch, times from its first row on [s]. */
export interface HoldRecord {
  readonly timeS: number[];
  readonly kpa: number[];
}

export function holdRecord(
  timeS: ArrayLike<number>,
  kpa: ArrayLike<number>,
  from: number,
  to: number,
): HoldRecord {
  const record: HoldRecord = { timeS: [], kpa: [] };
  for (let row = from; row < to; row++) {
    const value = kpa[row]!;
    if (value - value !== 0) continue;
    record.timeS.push(timeS[row]! - timeS[from]!);
    record.kpa.push(value);
  }
  return record;
}

export type FlowKind = 'orifice' | 'laminar' | 'either';

export interface HoldFits {
  readonly orifice: LeakUpFit;
  readonly laminar: LeakUpFit | null;
  /** The law that leaves least. */
  readonly best: LeakUpFit;
  /** The law that the samples clearly prefer. */
  readonly preferred: FlowKind;
  /** Whether even the best one is no law of this record. */
  readonly misfit: boolean;
}

/**
 * Fits, then leaves out what the fit says is too near balance, and fits again.
 *
 * @param outside absolute pressure around the part [kPa]
 * @returns null when no fit is found
 */
export function fitHold(record: HoldRecord, outside: number): HoldFits | null {
  const fits = fitsOf(record, outside);
  if (fits === null) return null;
  const { orifice, laminar, used } = fits;
  const best = laminar !== null && laminar.sumOfSquares < orifice.sumOfSquares ? laminar : orifice;
  return {
    orifice,
    laminar,
    best,
    preferred: preference(orifice, laminar),
    misfit: misfitKpa(record, used, best) > Math.max(MOST_MISFIT_KPA, MISFIT * scatterOf(record, used)),
  };
}

interface Fits {
  readonly orifice: LeakUpFit;
  readonly laminar: LeakUpFit | null;
  /** Samples used: the rest is too near balance. */
  readonly used: number;
}

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
function preference(orifice: LeakUpFit, laminar: LeakUpFit | null): FlowKind {
  if (laminar === null) return 'orifice';
  const samples = Math.max(orifice.effectiveSamples, laminar.effectiveSamples);
  const twiceLog = samples * Math.log(laminar.sumOfSquares / orifice.sumOfSquares);
  if (twiceLog > PREFER_BY) return 'orifice';
  return twiceLog < -PREFER_BY ? 'laminar' : 'either';
}

/** Root mean square of tenths of the record about the fit: what is left of a wrong law when noise is averaged out [kPa]. */
function misfitKpa(record: HoldRecord, used: number, fit: LeakUpFit): number {
  let squares = 0;
  for (let part = 0; part < MISFIT_PARTS; part++) {
    const from = Math.floor((part * used) / MISFIT_PARTS);
    const to = Math.floor(((part + 1) * used) / MISFIT_PARTS);
    let sum = 0;
    for (let at = from; at < to; at++) sum += record.kpa[at]! - fit.at(record.timeS[at]!);
    if (to > from) squares += (sum / (to - from)) ** 2;
  }
  return Math.sqrt(squares / MISFIT_PARTS);
}

/** Scatter of single samples from their successive differences [kPa]. */
function scatterOf(record: HoldRecord, used: number): number {
  let squares = 0;
  for (let at = 1; at < used; at++) squares += (record.kpa[at]! - record.kpa[at - 1]!) ** 2;
  return Math.sqrt(squares / (2 * Math.max(1, used - 1)));
}
