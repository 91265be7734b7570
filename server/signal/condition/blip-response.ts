/**
 * Blip test: the throttle of an idling engine is opened for a moment, several times. With every cylinder's throttle
 * opened at once their vacuums fall away together. Where a vacuum slide rises late or only in part, as with a torn
 * diaphragm, that cylinder keeps more of its vacuum for longer.
 *
 * Each cylinder's vacuum while the throttle was open, as a part of its own at idle, is averaged over the blips and
 * compared with the other cylinders' of the same blips, so that the hand on the throttle cancels. What is usual for this
 * engine, from an earlier visit, can be taken off.
 */
import type { CheckVerdict, Figure } from '../check-verdict.ts';
import { median } from '../median.ts';
import {
  type Blip,
  type BlipRecord,
  type SmoothedVacuum,
  smoothedVacuum,
  throttleBlips,
} from './throttle-blips.ts';

/** One cylinder's usual response, to be kept for later visits. */
export interface BlipUsual {
  readonly remainingShare: number;
}

export interface CylinderBlip {
  /** 0-based. */
  readonly cylinder: number;
  /** 'found': its slide lags behind the others. */
  readonly verdict: CheckVerdict;
  readonly reason: BlipReason | null;
  readonly whatToDo: string;
  /** Standard uncertainties by which it lags behind what is usual. */
  readonly strength: number | null;
  /** Vacuum that was left while the throttle was open, as a part of that at idle. */
  readonly remainingShare: Figure | null;
  /** The same over the others', less what an earlier visit found. */
  readonly excess: Figure | null;
  /** How deep the vacuum dipped [kPa]. */
  readonly dipKpa: number | null;
  /** From the opening of all together until its own vacuum had half gone [s]; negative: before the others. */
  readonly delayS: number | null;
  /** From the shutting of the throttle until its vacuum was back at idle's, within a tenth [s]. */
  readonly recoveryS: number | null;
}

export interface BlipResult {
  readonly blips: readonly Blip[];
  readonly cylinders: readonly CylinderBlip[];
  readonly reason: BlipReason | null;
  readonly whatToDo: string;
}

export type BlipReason = 'no-blips' | 'too-few-blips' | 'nothing-to-compare' | 'near-the-limit' | 'no-vacuum';

export interface BlipOptions {
  /** What an earlier visit found of the sound engine, by cylinder; null where nothing is known. */
  readonly earlier?: readonly (BlipUsual | null)[];
}

export const FEWEST_BLIPS = 3;
/** Parts of sound cylinders differ by so much, standard; and by as much again from the hand, without others to compare. */
const NATURAL_SHARE = 0.015;
const HAND_SHARE = 0.05;
/** A lag worth finding leaves so much more of the vacuum. */
const WORTH_SHARE = 0.06;
const SURE_SIGMAS = 3;
const CLEAR_SIGMAS = 1;
/** The scatter from blip to blip is no better known than this from so few. */
const LEAST_SCATTER = 0.015;
/** Idle again so long after a blip, and until so long before the next [s]. */
const REST_AFTER_S = 2.5;
const REST_BEFORE_S = 0.3;
const LEAST_IDLE_S = 1;
const LEAST_VACUUM_KPA = 5;
/** Left out at both ends of the opening, as a part of it at most [s]. */
const EDGE_S = 0.06;
const EDGE_SHARE = 0.2;
const BACK_WITHIN = 0.1;
const LONGEST_RECOVERY_S = 6;

/** @throws RangeError when the earlier visit has another number of cylinders */
export function blipResponse(record: BlipRecord, options: BlipOptions = {}): BlipResult {
  const cylinders = record.vacuumKpa.length;
  const { earlier } = options;
  if (earlier !== undefined && earlier.length !== cylinders)
    throw new RangeError(`${cylinders} cylinders, and ${earlier.length} at the earlier visit`);
  const smoothed = smoothedVacuum(record);
  const blips = throttleBlips(record, smoothed);
  if (blips.length < FEWEST_BLIPS) {
    const reason = blips.length === 0 ? 'no-blips' : 'too-few-blips';
    const none = Array.from({ length: cylinders }, (_, cylinder) => untold(cylinder, reason));
    return { blips, cylinders: none, reason, whatToDo: REASONS[reason] };
  }
  const responses = smoothed.kpa.map((column) => responseOf(column, smoothed, blips));
  const scatter = scatterOf(responses);
  const found = responses.map((own, cylinder) => {
    if (own === null) return untold(cylinder, 'no-vacuum');
    return judge(cylinder, own, responses, scatter, earlier);
  });
  const bad = found.find(({ verdict }) => verdict === 'found');
  const open = found.find(({ verdict }) => verdict === 'cannot-tell');
  return { blips, cylinders: found, reason: null, whatToDo: (bad ?? open ?? found[0]!).whatToDo };
}

interface Response {
  /** Of each blip. */
  readonly shares: readonly number[];
  readonly mean: number;
  readonly dipKpa: number;
  readonly delayS: number;
  readonly recoveryS: number | null;
}

function responseOf(column: Float64Array, smoothed: SmoothedVacuum, blips: readonly Blip[]): Response | null {
  const { startS, stepS } = smoothed;
  const index = (timeS: number): number => Math.max(0, Math.round((timeS - startS) / stepS));
  const idle = idleOf(column, smoothed, blips);
  if (idle === null || idle < LEAST_VACUUM_KPA) return null;
  const shares: number[] = [];
  const dips: number[] = [];
  const delays: number[] = [];
  const recoveries: number[] = [];
  for (const { openS, shutS } of blips) {
    const edgeS = Math.min(EDGE_S, EDGE_SHARE * (shutS - openS));
    const open = [...column.subarray(index(openS + edgeS), index(shutS - edgeS) + 1)];
    const known = open.filter((value) => value - value === 0);
    if (known.length < open.length / 2) return null;
    shares.push(average(known) / idle);
    dips.push(idle - Math.min(...known));
    let half = index(openS - 0.3);
    while (half < index(shutS) && !(column[half]! < 0.5 * idle)) half++;
    delays.push(startS + half * stepS - openS);
    const recoveryS = recoveryOf(column, index(shutS), idle, stepS);
    if (recoveryS !== null) recoveries.push(recoveryS);
  }
  return {
    shares,
    mean: average(shares),
    dipKpa: average(dips),
    delayS: average(delays),
    recoveryS: median(recoveries),
  };
}

/** Let go, the quick engine pulls more than at idle: its vacuum is back once it has come down from there. */
function recoveryOf(column: Float64Array, shut: number, idle: number, stepS: number): number | null {
  const last = Math.min(column.length, shut + Math.round(LONGEST_RECOVERY_S / stepS));
  let at = shut;
  while (at < last && !(column[at]! > (1 + BACK_WITHIN) * idle)) at++;
  while (at < last && !(column[at]! <= (1 + BACK_WITHIN) * idle)) at++;
  return at < last ? (at - shut) * stepS : null;
}

/** Mean vacuum at idle: where no blip is near [kPa]. */
function idleOf(
  column: Float64Array,
  { startS, stepS }: SmoothedVacuum,
  blips: readonly Blip[],
): number | null {
  let sum = 0;
  let count = 0;
  for (let at = 0; at < column.length; at++) {
    const timeS = startS + at * stepS;
    const near = blips.some(
      ({ openS, shutS }) => timeS > openS - REST_BEFORE_S && timeS < shutS + REST_AFTER_S,
    );
    if (near || Number.isNaN(column[at]!)) continue;
    sum += column[at]!;
    count++;
  }
  return count * stepS < LEAST_IDLE_S ? null : sum / count;
}

/** Standard deviation of one cylinder's part in one blip, what is common to the blip and to the cylinder taken off. */
function scatterOf(responses: readonly (Response | null)[]): number {
  const known = responses.filter((one) => one !== null);
  const blips = known[0]?.shares.length ?? 0;
  const freedom = (known.length - 1) * (blips - 1);
  if (freedom < 1) return LEAST_SCATTER;
  let squares = 0;
  for (let blip = 0; blip < blips; blip++) {
    const common = average(known.map(({ shares, mean }) => shares[blip]! - mean));
    for (const { shares, mean } of known) squares += (shares[blip]! - mean - common) ** 2;
  }
  return Math.max(LEAST_SCATTER, Math.sqrt(squares / freedom));
}

function judge(
  cylinder: number,
  own: Response,
  responses: readonly (Response | null)[],
  scatter: number,
  earlier: BlipOptions['earlier'],
): CylinderBlip {
  const others = responses.flatMap((one, at) =>
    one === null || at === cylinder ? [] : [{ at, share: one.mean }],
  );
  const usual = earlier?.[cylinder] ?? null;
  const error = scatter / Math.sqrt(own.shares.length);
  const figures = {
    cylinder,
    remainingShare: { value: own.mean, standardUncertainty: error },
    dipKpa: own.dipKpa,
    delayS: own.delayS,
    recoveryS: own.recoveryS,
  };
  if (others.length === 0 && usual === null) return { ...untold(cylinder, 'nothing-to-compare'), ...figures };
  const usualOf = (at: number): number => (usual === null ? 0 : (earlier?.[at]?.remainingShare ?? 0));
  // Torn slides only ever add: of an even number of others the lower one in the middle is the sound one.
  const alike = others
    .filter(({ at }) => usual === null || earlier?.[at] != null)
    .map(({ at, share }) => share - usualOf(at))
    .sort((a, b) => a - b);
  const reference = alike.length === 0 ? 0 : alike[(alike.length - 1) >> 1]!;
  const natural = alike.length === 0 ? HAND_SHARE : NATURAL_SHARE;
  const excess: Figure = {
    value: own.mean - usualOf(cylinder) - reference,
    standardUncertainty: Math.hypot(error * Math.SQRT2, natural),
  };
  const sigmas = excess.value / excess.standardUncertainty;
  const past = (excess.value - WORTH_SHARE) / excess.standardUncertainty;
  const verdict: CheckVerdict =
    sigmas > SURE_SIGMAS && past > 0 ? 'found' : past < -CLEAR_SIGMAS ? 'not-found' : 'cannot-tell';
  return {
    ...figures,
    verdict,
    reason: verdict === 'cannot-tell' ? 'near-the-limit' : null,
    whatToDo: verdict === 'found' ? LAGS : verdict === 'not-found' ? ALIKE : REASONS['near-the-limit'],
    strength: verdict === 'found' ? sigmas : Math.abs(past),
    excess,
  };
}

const LAGS =
  'Its vacuum falls later or less than the others when the throttle opens: take the cover off its slide, look for a torn or badly seated diaphragm, a sticking slide, and see that its throttle cable or link moves with the others.';
const ALIKE =
  'It answers the throttle as the others do. Diaphragms that are all torn alike would not show: compare with an earlier visit.';

const REASONS: Record<BlipReason, string> = {
  'no-blips':
    'No blip was seen: open the throttle sharply by a third or so and let go at once, then wait four seconds, five times in all.',
  'too-few-blips': `Fewer than ${FEWEST_BLIPS} blips were seen: open the throttle sharply and let go at once, with four seconds of idle between, five times in all.`,
  'nothing-to-compare':
    'There is no other cylinder to compare with: keep this as its usual response and compare at the next visit.',
  'near-the-limit': 'It lags a little, near the limit: repeat with more and sharper blips.',
  'no-vacuum': 'This cylinder has no vacuum at idle to compare with: check its hose, then repeat.',
};

function untold(cylinder: number, reason: BlipReason): CylinderBlip {
  return {
    cylinder,
    verdict: 'cannot-tell',
    reason,
    whatToDo: REASONS[reason],
    strength: null,
    remainingShare: null,
    excess: null,
    dipKpa: null,
    delayS: null,
    recoveryS: null,
  };
}

function average(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
