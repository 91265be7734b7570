/**
 * Two-opening test: does a cylinder get too much air through a leak, or does its throttle stand wrong?
 *
 * The refill slope K of each cylinder (`refill-slope.ts`), in proportion to open area over port volume, is measured at
 * idle and again at a raised, held speed. A leak adds the same area to both openings; a linkage that is out of
 * adjustment scales the cylinder's opening with the others'. So with s the growth of a sound cylinder and g that of
 * this one, both of them ratios in which the port's volume cancels,
 *
 *   constant part of the opening at idle  f = (s - g) / (s - 1)      (0 for a linkage, the leak's share for a leak)
 *   scaling part against the others       K (1 - f) at idle over the median of all
 *
 * The second holds the ports' volumes too, so only more than they usually differ by counts. A throttle that is off by
 * a constant angle on its own stop also adds a nearly constant area: what is called a leak here is to be confirmed by
 * a spot test.
 */
import type { CheckVerdict, Figure } from '../check-verdict.ts';
import { median } from '../median.ts';
import type { RefillResult, RefillSlope } from './refill-slope.ts';

export type OpeningCause = 'leak' | 'linkage';
export type OpeningReason = 'no-slope' | 'too-few-cylinders' | 'opening-not-raised-enough' | 'near-the-limit';

export interface TwoOpeningResult {
  /** 'found' with a cause; 'not-found' when the opening is even with the others'. */
  readonly verdict: CheckVerdict;
  readonly cause: OpeningCause | null;
  readonly reason: OpeningReason | null;
  readonly whatToDo: string;
  /** Standard uncertainties between the deciding figure and its limit. */
  readonly strength: number | null;
  /** Share of the opening at idle that does not grow with the throttle. */
  readonly constantShare: Figure | null;
  /** Scaling part of the opening over the others', less one; half of it is ports that differ. */
  readonly scalingExcess: Figure | null;
  /** Opening raised over opening at idle. */
  readonly growth: Figure | null;
}

/** The opening must grow at least by this for the constant part to show. */
const LEAST_GROWTH = 1.5;
/** Slopes are right to this beyond their scatter: warm ports, gauge zero, hoses; standard, relative. */
const SLOPE_SYSTEMATIC = 0.004;
/** Ports of one engine differ in volume by this; standard, relative (common practice, no source). */
const PORT_SPREAD = 0.02;
/** A constant share worth calling a leak, and a scaling one worth calling a linkage. */
const WORTH_LEAK = 0.03;
const WORTH_LINKAGE = 0.07;
const SURE_SIGMAS = 2.5;
/** So near a limit, in standard uncertainties, nothing is said. */
const CLOSE_SIGMAS = 1;

/**
 * @param idle, raised slopes of the same cylinders in the same order at the two openings
 * @throws RangeError when they are not equally many
 */
export function twoOpeningTest(
  idle: readonly RefillResult[],
  raised: readonly RefillResult[],
): TwoOpeningResult[] {
  if (idle.length !== raised.length)
    throw new RangeError(`${idle.length} cylinders at idle and ${raised.length} at the raised speed`);
  const told = idle.flatMap((low, cylinder) => {
    const high = raised[cylinder]!;
    return low.slope === null || high.slope === null ? [] : [openingOf(cylinder, low.slope, high.slope)];
  });
  if (told.length < 2)
    return idle.map(() => untold(told.length === 0 ? 'no-slope' : 'too-few-cylinders', null));
  // A leak only ever slows the growth: the reference is the upper median, so that up to half may leak.
  const sound = byValue(told, (one) => -one.growth.value)[Math.floor((told.length - 1) / 2)]!.growth;
  const parts = told.map((one) => ({ ...one, constant: constantShare(one, sound, told.length) }));
  return idle.map((_, cylinder) => {
    const own = parts.find((one) => one.cylinder === cylinder);
    if (own === undefined) return untold('no-slope', null);
    if (sound.value < LEAST_GROWTH) return untold('opening-not-raised-enough', own.growth);
    return judge(own, parts);
  });
}

interface Opening {
  readonly cylinder: number;
  readonly idleKpaPerS: number;
  readonly growth: Figure;
}

interface OpeningParts extends Opening {
  readonly constant: Figure;
}

function openingOf(cylinder: number, low: RefillSlope, high: RefillSlope): Opening {
  const value = high.kpaPerS / low.kpaPerS;
  const relative = Math.hypot(
    low.standardError / low.kpaPerS,
    high.standardError / high.kpaPerS,
    SLOPE_SYSTEMATIC * Math.SQRT2,
  );
  return { cylinder, idleKpaPerS: low.kpaPerS, growth: { value, standardUncertainty: value * relative } };
}

function constantShare(one: Opening, sound: Figure, cylinders: number): Figure {
  const span = Math.max(0.1, sound.value - 1);
  // The reference is one of few and has its own error.
  const ofReference = sound.standardUncertainty / Math.sqrt(Math.max(1, cylinders / 2));
  return {
    value: (sound.value - one.growth.value) / span,
    standardUncertainty: Math.hypot(one.growth.standardUncertainty, ofReference) / span,
  };
}

function judge(own: OpeningParts, parts: readonly OpeningParts[]): TwoOpeningResult {
  const { constant, growth } = own;
  const scaling = (one: OpeningParts): number => one.idleKpaPerS * (1 - Math.max(0, one.constant.value));
  const others = parts.filter((one) => one !== own);
  const among = parts.length > 2 ? parts : others;
  const middle = median(among.map(scaling))!;
  const scalingExcess: Figure = {
    value: scaling(own) / middle - 1,
    standardUncertainty: Math.hypot(PORT_SPREAD, constant.standardUncertainty),
  };
  const leakBy = (constant.value - WORTH_LEAK) / constant.standardUncertainty;
  const isLeak = constant.value > SURE_SIGMAS * constant.standardUncertainty && leakBy > 0;
  // Of a pair either throttle may be the one that is off: both are named.
  const off = Math.abs(scalingExcess.value);
  const offBy = (off - WORTH_LINKAGE) / scalingExcess.standardUncertainty;
  const figures = { constantShare: constant, scalingExcess, growth };
  const leakClose = Math.abs(leakBy) < CLOSE_SIGMAS;
  if (isLeak && !leakClose) return found('leak', leakBy, figures);
  if (leakClose) return { ...untold('near-the-limit', growth), ...figures };
  if (offBy > 0) return found('linkage', offBy, figures);
  return {
    verdict: 'not-found',
    cause: null,
    reason: null,
    whatToDo: 'Its opening is even with the others at both speeds: look elsewhere.',
    strength: Math.min(-leakBy, -offBy),
    ...figures,
  };
}

type Figures = Pick<TwoOpeningResult, 'constantShare' | 'scalingExcess' | 'growth'>;

function found(cause: OpeningCause, strength: number, figures: Figures): TwoOpeningResult {
  return { verdict: 'found', cause, reason: null, whatToDo: WHAT_TO_DO[cause], strength, ...figures };
}

function byValue<T>(things: readonly T[], value: (thing: T) => number): T[] {
  return things.slice().sort((a, b) => value(a) - value(b));
}

const WHAT_TO_DO: Record<OpeningCause, string> = {
  leak: 'Air comes in that does not grow with the throttle: confirm it with a spot test of this cylinder (boot, cap, hose, its own throttle stop) before turning any balance screw.',
  linkage:
    'Its throttle opens in another proportion than the others: adjust the linkage or balance screw, then repeat the test.',
};

const REASONS: Record<OpeningReason, string> = {
  'no-slope':
    'The refill of this cylinder could not be measured: check its hose and let the engine run steadily for longer.',
  'too-few-cylinders': 'There is no other cylinder to compare with: use the spot test.',
  'opening-not-raised-enough':
    'The two openings are too much alike: hold the engine at two or three times the idle speed and measure again.',
  'near-the-limit': 'Too near the limit to call: hold a higher speed for longer, or use the spot test.',
};

function untold(reason: OpeningReason, growth: Figure | null): TwoOpeningResult {
  return {
    verdict: 'cannot-tell',
    cause: null,
    reason,
    whatToDo: REASONS[reason],
    strength: null,
    constantShare: null,
    scalingExcess: null,
    growth,
  };
}
