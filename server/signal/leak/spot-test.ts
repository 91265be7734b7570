/**
 * Spot test for intake leaks: named spots of a running engine's intake are wetted or pinched in turn, after
 * `spotTestPlan`. Where a leak is closed meanwhile, idle speed, the vacuum of a cylinder or the roughness move with it.
 *
 * Every spot is tested in every signal for a response locked to its presses (`locked-response.ts`); the
 * probabilities are corrected for how many that are (`holm.ts`). A response that shows in one of several presses alone
 * is no leak, and if the dummy presses answer, the hand moves the engine and nothing can be said.
 */
import { studentTQuantile, studentTUpperTail } from '../../../calibration/student-t.ts';
import type { CheckVerdict, Figure } from '../check-verdict.ts';
import { holm } from './holm.ts';
import { type LockedResponse, lockedResponse } from './locked-response.ts';
import type { PlannedPress } from './spot-plan.ts';
import type { SpotSeries } from './spot-series.ts';
import { type SpotSignal, type SpotSignalKind, spotSignals } from './spot-signals.ts';

export type Press = PlannedPress;

export type SpotReason =
  | 'too-few-cycles'
  | 'engine-too-unsteady'
  | 'one-press-alone'
  | 'dummy-answered'
  | 'press-too-short';

export interface SpotResult {
  readonly spot: string;
  readonly verdict: CheckVerdict;
  readonly reason: SpotReason | null;
  readonly whatToDo: string;
  /** Chance of so strong a response somewhere without any leak, corrected for all that was looked at; null: not tested. */
  readonly chance: number | null;
  /** What answered most clearly. */
  readonly signal: SpotSignalKind | null;
  /** 0-based; null when no single cylinder answered. */
  readonly cylinder: number | null;
  readonly presses: number;
  /** Change of idle speed while pressed [%]. */
  readonly idleSpeedPercent: Figure | null;
  /** Change of vacuum while pressed [kPa], by cylinder. */
  readonly vacuumKpa: readonly (Figure | null)[];
}

export interface SpotTestOptions {
  /** Every cylinder of the engine has a hose, so no air gets in unseen. Default false. */
  readonly everyCylinderSensed?: boolean;
}

/** A spot keeps its chance of a false alarm under this ... */
const ALARM_PER_SPOT = 0.008;
/** ... and all spots together under this. */
const ALARM_OF_ALL = 0.05;
/** A leak worth finding moves the idle by so much [%], or a cylinder's vacuum [kPa]. */
export const WORTH_IDLE_PERCENT = 1;
export const WORTH_VACUUM_KPA = 0.5;
/** 'Not found' excludes such a leak with this confidence, one-sided. */
const EXCLUDES = 0.95;
/** Water and engine take a while: the response begins after a delay and comes up exponentially [s]. */
const DELAY_S = 0.15;
const RISE_S = 0.3;
/** A shorter press is over before the response is there [s]. */
export const SHORTEST_PRESS_S = 1.5;
/** From so many presses on they must agree: this part of them to the same side, none with more than that share of the whole. */
const AGREE_FROM = 3;
const AGREE_SHARE = 2 / 3;
const ONE_PRESS_SHARE = 0.75;

/**
 * @param presses when each spot was pressed, dummies with a null spot; in any order
 * @param series engine cycles of the whole test, rests included
 * @returns one result per spot, in the order of their first press
 */
export function spotTest(
  presses: readonly Press[],
  series: SpotSeries,
  options: SpotTestOptions = {},
): SpotResult[] {
  const spots = [...new Set(presses.map((press) => press.spot))].filter((spot) => spot !== null);
  const groups = groupsOf(presses, spots);
  const signals = spotSignals(series);
  const tested = signals.flatMap((signal) => {
    const response = lockedResponse(signal.timeS, signal.values, [
      ...groups.map((group) => shapeOf(group, signal.timeS)),
      ...signal.companions,
    ]);
    return response === null ? [] : [{ signal, response }];
  });
  if (!tested.some(({ signal }) => signal.kind === 'idle-speed'))
    return spots.map((spot, at) => untold(spot, 'too-few-cycles', groups[at]!.length, series));

  // Among the signals of one spot step by step, among the spots outright: so each spot keeps its own chance of a false
  // alarm, however many of the others leak.
  const alarm = Math.min(ALARM_PER_SPOT, ALARM_OF_ALL / spots.length);
  const weights = tested.map(({ signal }) => signal.weight);
  const chances = groups.map((_, group) =>
    holm(
      tested.map(({ response }) => chanceOf(response, group)),
      weights,
    ),
  );
  const dummyAnswered = groups.length > spots.length && Math.min(...chances.at(-1)!) < alarm;
  const { everyCylinderSensed = false } = options;
  const context = { series, tested, groups, alarm, everyCylinderSensed };
  return spots.map((spot, group) => judge(spot, group, chances[group]!, dummyAnswered, context));
}

interface Tested {
  readonly signal: SpotSignal;
  readonly response: LockedResponse;
}

interface Context {
  readonly series: SpotSeries;
  readonly tested: readonly Tested[];
  readonly groups: readonly (readonly Press[])[];
  readonly alarm: number;
  readonly everyCylinderSensed: boolean;
}

/** The presses of each spot and, last, those of the dummy if there are any. */
function groupsOf(presses: readonly Press[], spots: readonly string[]): Press[][] {
  const groups = spots.map((spot) => presses.filter((press) => press.spot === spot));
  const dummies = presses.filter((press) => press.spot === null);
  return dummies.length > 0 ? [...groups, dummies] : groups;
}

function judge(
  spot: string,
  group: number,
  chances: readonly number[],
  dummyAnswered: boolean,
  context: Context,
): SpotResult {
  const { tested, groups, series, alarm, everyCylinderSensed } = context;
  const presses = groups[group]!;
  const strongest = strongestOf(tested, chances, group);
  const chance = Math.min(...chances);
  const found = chance < alarm;
  const figure = ({ response }: Tested): Figure => ({
    value: response.size[group]!,
    standardUncertainty: response.standardError[group]!,
  });
  const speed = tested.find(({ signal }) => signal.kind === 'idle-speed')!;
  const vacuumKpa = series.vacuumKpa.map((_, cylinder) => {
    const own = tested.find(({ signal }) => signal.cylinder === cylinder);
    return own === undefined ? null : figure(own);
  });
  const vacuumStill = (kind: SpotSignalKind): boolean =>
    tested.every(
      ({ signal, response }) => signal.kind !== kind || excludes(response, group, WORTH_VACUUM_KPA),
    );
  // All the air goes through the ports: with a hose on each, steady vacuums leave no way in that the idle could show.
  const idleStill =
    excludes(speed.response, group, WORTH_IDLE_PERCENT) ||
    (everyCylinderSensed && tested.length > 2 && vacuumStill('common-vacuum'));
  const excluded = idleStill && vacuumStill('cylinder-vacuum');
  const reason: SpotReason | null = presses.every(({ startS, endS }) => endS - startS < SHORTEST_PRESS_S)
    ? 'press-too-short'
    : found
      ? dummyAnswered
        ? 'dummy-answered'
        : agree(presses, strongest, context, group)
          ? null
          : 'one-press-alone'
      : excluded
        ? null
        : 'engine-too-unsteady';
  const verdict: CheckVerdict = reason !== null ? 'cannot-tell' : found ? 'found' : 'not-found';
  return {
    spot,
    verdict,
    reason,
    whatToDo: whatToDo(verdict, reason),
    chance,
    signal: strongest.signal.kind,
    cylinder: strongest.signal.cylinder,
    presses: presses.length,
    idleSpeedPercent: figure(speed),
    vacuumKpa,
  };
}

/** The clearest signal; among cylinders one whose vacuum rose goes first, as closing a leak makes it. */
function strongestOf(tested: readonly Tested[], chances: readonly number[], group: number): Tested {
  const least = Math.min(...chances);
  const clear = tested.filter((_, at) => chances[at]! <= least);
  const rose = clear.filter(({ response }) => response.size[group]! > 0);
  const z = ({ response }: Tested): number =>
    Math.abs(response.size[group]! / response.standardError[group]!);
  return (rose.length > 0 ? rose : clear).reduce((a, b) => (z(b) > z(a) ? b : a));
}

/** With several presses of a spot: do they say the same, each for itself? */
function agree(presses: readonly Press[], strongest: Tested, context: Context, group: number): boolean {
  if (presses.length < AGREE_FROM) return true;
  const { signal, response } = strongest;
  const others = context.groups.filter((_, at) => at !== group);
  const apart = lockedResponse(signal.timeS, signal.values, [
    ...presses.map((press) => shapeOf([press], signal.timeS)),
    ...others.map((other) => shapeOf(other, signal.timeS)),
    ...signal.companions,
  ]);
  if (apart === null) return true;
  const side = Math.sign(response.size[group]!);
  const sizes = apart.size.slice(0, presses.length).map((size) => side * size);
  const whole = sizes.reduce((sum, size) => sum + Math.max(0, size), 0);
  return (
    sizes.filter((size) => size > 0).length >= AGREE_SHARE * presses.length &&
    Math.max(...sizes) <= ONE_PRESS_SHARE * whole
  );
}

/** Response to the presses of one spot: 0 at rest, 1 where it has fully come up. */
function shapeOf(presses: readonly Press[], timeS: readonly number[]): number[] {
  const risen = (sinceS: number): number =>
    sinceS <= DELAY_S ? 0 : 1 - Math.exp(-(sinceS - DELAY_S) / RISE_S);
  return timeS.map((t) =>
    presses.reduce((sum, { startS, endS }) => sum + risen(t - startS) - risen(t - endS), 0),
  );
}

function chanceOf({ size, standardError, freedom }: LockedResponse, group: number): number {
  return 2 * studentTUpperTail(Math.abs(size[group]! / standardError[group]!), freedom);
}

function excludes({ size, standardError, freedom }: LockedResponse, group: number, worth: number): boolean {
  const reach = studentTQuantile(EXCLUDES, freedom) * standardError[group]!;
  return Math.abs(size[group]!) + reach < worth;
}

function untold(spot: string, reason: SpotReason, presses: number, series: SpotSeries): SpotResult {
  return {
    spot,
    verdict: 'cannot-tell',
    reason,
    whatToDo: whatToDo('cannot-tell', reason),
    chance: null,
    signal: null,
    cylinder: null,
    presses,
    idleSpeedPercent: null,
    vacuumKpa: series.vacuumKpa.map(() => null),
  };
}

const WHAT_TO_DO: Record<SpotReason, string> = {
  'too-few-cycles': 'Too few engine cycles were recorded: let the engine idle through the whole plan.',
  'engine-too-unsteady':
    'The idle is too unsteady for so few presses: warm the engine up, settle the idle, and press each spot more often and longer.',
  'one-press-alone':
    'Only one of the presses was answered, so something else may have moved the engine then: repeat this spot.',
  'dummy-answered':
    'The engine answered when nothing was touched: keep hands and hoses off throttle and cables, and repeat the test.',
  'press-too-short':
    'Hold each press for six seconds or so: shorter ones are over before the engine answers.',
};

function whatToDo(verdict: CheckVerdict, reason: SpotReason | null): string {
  if (reason !== null) return WHAT_TO_DO[reason];
  return verdict === 'found'
    ? 'The engine answers when this spot is closed: inspect it, reseal or renew it, then repeat the test. Never spray anything that burns.'
    : 'No leak worth finding here: go on to the next spot.';
}
