/**
 * Hold test: a closed part (vacuum tap, diaphragm, hose, petcock) is pumped down by hand and watched. Does it hold?
 *
 * The end of pumping is found in the record, a leak-up is fitted from there on under two kinds of flow, and the
 * figures follow from the fit; the gauge's own leak, known from a blank test, is taken off.
 */
import type { CheckVerdict, Figure } from '../check-verdict.ts';
import { chokedRise, timeConstant, vacuumLost } from './hold-drop.ts';
import { FEWEST_SAMPLES, type FlowKind, fitHold, holdRecord } from './hold-fits.ts';
import { type HoldOpening, holdOpening, NO_OPENING } from './hold-opening.ts';
import { findHoldStretch } from './hold-stretch.ts';
import type { Heat } from './orifice-leak.ts';

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

export interface HoldTestResult extends HoldOpening {
  readonly verdict: CheckVerdict;
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
  readonly flow: FlowKind;
  /** Rise of pressure while the leak is choked, or would be, gauge's own leak taken off [kPa/s]; null inside noise or drift. */
  readonly chokedKpaPerS: Figure | null;
  /** The fitted law's time constant: p0 φ* over the choked rise, or that of the exponential [s]. */
  readonly timeConstantS: Figure | null;
  readonly residualSdKpa: number | null;
}

export type HoldReason =
  | 'no-record'
  | 'not-pumped-down'
  | 'too-short'
  | 'inside-noise-or-drift'
  | 'near-the-limit'
  | 'does-not-fit';

/** Less vacuum than this was not pumped [kPa]. */
const LEAST_VACUUM_KPA = 5;
/** A rate is told from this many of its standard uncertainties on. */
const TOLD_SIGMAS = 4;
/** A verdict keeps this many standard uncertainties from the limit. */
const SURE_SIGMAS = 2;
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
  const record = holdRecord(timeS, kpa, stretch.fromRow, stretch.toRow);
  const watchedS = record.timeS.at(-1) ?? 0;
  const { pumpedUntilS } = stretch;
  if (record.timeS.length < FEWEST_SAMPLES) return untold('too-short', pumpedUntilS, watchedS, null);
  const outside = options.barometricKpa;
  const lowest = record.kpa.slice(0, FEWEST_SAMPLES).sort((a, b) => a - b)[FEWEST_SAMPLES >> 1]!;
  if (outside - lowest < LEAST_VACUUM_KPA)
    return untold('not-pumped-down', pumpedUntilS, watchedS, outside - lowest);

  const fits = fitHold(record, outside);
  if (fits === null) return untold('does-not-fit', pumpedUntilS, watchedS, outside - lowest);
  const { orifice, laminar, best, preferred } = fits;
  const startVacuumKpa = outside - best.startKpa;
  if (fits.misfit) return untold('does-not-fit', pumpedUntilS, watchedS, startVacuumKpa);

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
    vacuumLost(seconds, { orifice, laminar, preferred, net, raw, watchedS, options });
  const limit = options.passLimit ?? DEFAULT_PASS_LIMIT;
  const limitDropKpa = dropIn(limit.inS);
  const strength = (limitDropKpa.value - limit.dropKpa) / limitDropKpa.standardUncertainty;
  const told = net.value > TOLD_SIGMAS * net.standardUncertainty;
  const verdict: CheckVerdict =
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
    ...(told ? holdOpening(net, options) : NO_OPENING),
    residualSdKpa: best.residualSdKpa,
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
    'The pressure never fell well below the air outside: pump again. If it will not fall at all, the leak is a large one.',
  'too-short':
    'The part was watched for too short a time: pump it down again and leave it alone for a minute.',
  'inside-noise-or-drift':
    'The drop is no larger than the noise and drift of the sensor: watch for longer, and do a blank test with the hose plugged.',
  'near-the-limit': 'The drop is too near the limit to call: watch for longer, or repeat with a blank test.',
  'does-not-fit':
    'The pressure did not rise as a leak makes it rise: leave pump and hoses untouched, and do the test again.',
};

function whatToDo(verdict: CheckVerdict, reason: HoldReason | null): string {
  if (reason !== null) return WHAT_TO_DO[reason];
  return verdict === 'found'
    ? 'It does not hold: check hose and joints with a blank test first, then renew or reseal the part. Service data come first.'
    : 'It holds within the limit: look elsewhere. Service data come first.';
}
