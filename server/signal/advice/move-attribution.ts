/**
 * Which screw was turned: the one whose effect explains the change of balance best, or none of them, or that cannot be
 * told. Bayes' rule over the possible causes; the speed tells a throttle that was opened or closed for all from a
 * screw, for a screw of one cylinder changes the balance much and the speed little.
 */
import type { Matrix } from '../../../calibration/solve-linear.ts';
import { addMatrices, dot, identity, logDensity, logMeanExp, norm, outer } from './gaussian.ts';
import type { Move } from './move-detector.ts';
import { type ExpectedTurn, predictedChanges, type ScrewEffect } from './screw-effects.ts';
import { GAPS_PER_SPEED } from './steady-stretch.ts';

export type MoveCause =
  | { readonly kind: 'screw'; readonly screw: number; readonly turn: ExpectedTurn | null }
  /** The throttle or the idle screw, which moves all cylinders alike. */
  | { readonly kind: 'common' }
  /** Nothing to speak of. */
  | { readonly kind: 'nothing' }
  | { readonly kind: 'cannot-tell' };

export interface Attribution {
  readonly cause: MoveCause;
  /** How sure, 0…1. */
  readonly probability: number;
  /** Probability of each screw, 0…1. */
  readonly screws: readonly number[];
}

/** What the person was asked to do before the move. */
export interface Asked {
  /** Index of the screw, or null when none was named. */
  readonly screw: number | null;
  /** How far, or null when it was 'a little, either way'. */
  readonly turn: ExpectedTurn | null;
  /** The person was reminded to set the idle speed. */
  readonly idleSpeed: boolean;
}

/** Less sure than this is 'cannot tell'. */
const SURE = 0.8;
const NOTHING_PRIOR = 0.08;
const COMMON_PRIOR = 0.15;
const COMMON_PRIOR_WHEN_ASKED = 0.35;
const SEVERAL_PRIOR = 0.05;
/** Someone who was asked to turn a screw turns that one. */
const FOLLOWS = 0.85;
/** And about as far as asked. */
const AS_FAR_AS_ASKED = 0.85;
/** The idle speed is set anew within the same move. */
const TRIMS_IDLE = 0.1;

/**
 * Standard deviation of the logarithm of the speed ratio: nothing touched; for a screw per kPa of its shift, and as a part
 * of what goes with it; idle set anew.
 */
const SPEED_SD = 0.015;
const SPEED_SD_PER_KPA = 0.008;
const SPEED_SD_PART = 0.75;
const SPEED_SD_IDLE_SET = 0.25;
const GAPS_FOLLOW_SD = 0.03;
/** What a balance does by itself [kPa]. */
const WANDER_KPA = 0.06;
const SEVERAL_SCALES_KPA = [0.8, 3];

/** A whole explanation of a move with its weight. */
interface Explanation {
  readonly cause: MoveCause | { readonly kind: 'several' };
  readonly logWeight: number;
}

export function attributeMove(move: Move, effects: readonly ScrewEffect[], asked: Asked): Attribution {
  const explanations = [
    ...screwExplanations(move, effects, asked),
    throttleExplanation(move, asked),
    nothingExplanation(move),
    ...(effects.length > 1 ? [severalExplanation(move)] : []),
  ];
  const highest = Math.max(...explanations.map(({ logWeight }) => logWeight));
  const weights = explanations.map(({ logWeight }) => Math.exp(logWeight - highest));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const share = (matches: (cause: Explanation['cause']) => boolean) =>
    explanations.reduce((sum, { cause }, at) => sum + (matches(cause) ? weights[at]! / total : 0), 0);
  const screws = effects.map((_, screw) => share((cause) => cause.kind === 'screw' && cause.screw === screw));
  const likeliest = screws.indexOf(Math.max(...screws));
  if (likeliest >= 0 && screws[likeliest]! >= SURE) {
    const ofScrew = explanations.filter(({ cause }) => cause.kind === 'screw' && cause.screw === likeliest);
    const best = ofScrew.reduce((a, b) => (b.logWeight > a.logWeight ? b : a));
    return { cause: best.cause as MoveCause, probability: screws[likeliest]!, screws };
  }
  const common = share(({ kind }) => kind === 'common');
  const nothing = share(({ kind }) => kind === 'nothing');
  if (common + nothing >= SURE)
    return {
      cause: { kind: common > nothing ? 'common' : 'nothing' },
      probability: common + nothing,
      screws,
    };
  return { cause: { kind: 'cannot-tell' }, probability: Math.max(common + nothing, ...screws), screws };
}

function screwExplanations(move: Move, effects: readonly ScrewEffect[], asked: Asked): Explanation[] {
  const prior =
    1 -
    NOTHING_PRIOR -
    (effects.length > 1 ? SEVERAL_PRIOR : 0) -
    (asked.idleSpeed ? COMMON_PRIOR_WHEN_ASKED : COMMON_PRIOR);
  return effects.flatMap((effect, screw): Explanation[] => {
    const named = asked.screw === null || effects.length === 1 ? 1 / effects.length : null;
    const ofScrew = named ?? (asked.screw === screw ? FOLLOWS : (1 - FOLLOWS) / (effects.length - 1));
    const followed = asked.screw === screw && asked.turn !== null && effect.unit !== null;
    const turns = followed
      ? [
          { turn: asked.turn, share: AS_FAR_AS_ASKED },
          { turn: null, share: 1 - AS_FAR_AS_ASKED },
        ]
      : [{ turn: null, share: 1 }];
    const { speed, unexplained } = screwSpeed(move, effect);
    const noise = addMatrices(move.covariance, followingSpeed(move, GAPS_PER_SPEED * unexplained));
    return turns.map(({ turn, share }) => {
      const predictions = predictedChanges(effect, turn);
      const density = logMeanExp(
        predictions.map((predicted) =>
          logDensity(move.change, {
            mean: predicted.mean,
            covariance: addMatrices(predicted.covariance, noise),
          }),
        ),
      );
      return {
        cause: { kind: 'screw', screw, turn },
        logWeight: Math.log(prior * ofScrew * share) + density + speed,
      };
    });
  });
}

/** How well the speed goes with a move of the screw, and the part of its change that does not. */
function screwSpeed(
  move: Move,
  effect: ScrewEffect,
): { readonly speed: number; readonly unexplained: number } {
  if (move.logSpeedRatio === null) return { speed: 0, unexplained: 0 };
  const { direction, speedPerKpa } = effect.shapes[0]!;
  const expected = speedPerKpa * dot(move.change, direction);
  const off = move.logSpeedRatio - expected;
  const sd = Math.hypot(SPEED_SD, SPEED_SD_PER_KPA * norm(move.change), SPEED_SD_PART * expected);
  const density =
    (1 - TRIMS_IDLE) * normalDensity(off, sd) + TRIMS_IDLE * normalDensity(off, SPEED_SD_IDLE_SET);
  return { speed: Math.log(density), unexplained: Math.max(0, Math.abs(off) - sd) };
}

function throttleExplanation(move: Move, asked: Asked): Explanation {
  const ratio = move.logSpeedRatio ?? 0;
  const noise = addMatrices(
    move.covariance,
    addMatrices(
      followingSpeed(move, GAPS_FOLLOW_SD + GAPS_PER_SPEED * Math.abs(ratio)),
      identity(move.change.length, WANDER_KPA ** 2),
    ),
  );
  const speed = move.logSpeedRatio === null ? 0 : Math.log(normalDensity(ratio, SPEED_SD_IDLE_SET));
  const prior = asked.idleSpeed ? COMMON_PRIOR_WHEN_ASKED : COMMON_PRIOR;
  return {
    cause: { kind: 'common' },
    logWeight: Math.log(prior) + speed + logDensity(move.change, centred(move, noise)),
  };
}

function nothingExplanation(move: Move): Explanation {
  const noise = addMatrices(move.covariance, identity(move.change.length, WANDER_KPA ** 2));
  const speed = move.logSpeedRatio === null ? 0 : Math.log(normalDensity(move.logSpeedRatio, SPEED_SD));
  return {
    cause: { kind: 'nothing' },
    logWeight: Math.log(NOTHING_PRIOR) + speed + logDensity(move.change, centred(move, noise)),
  };
}

function severalExplanation(move: Move): Explanation {
  const densities = SEVERAL_SCALES_KPA.map((scale) =>
    logDensity(
      move.change,
      centred(move, addMatrices(move.covariance, identity(move.change.length, scale * scale))),
    ),
  );
  const speed =
    move.logSpeedRatio === null ? 0 : Math.log(normalDensity(move.logSpeedRatio, SPEED_SD_IDLE_SET));
  return { cause: { kind: 'several' }, logWeight: Math.log(SEVERAL_PRIOR) + speed + logMeanExp(densities) };
}

/** Gaps that all grow or shrink by the same part, of the given standard deviation. */
function followingSpeed(move: Move, sd: number): Matrix {
  return outer(move.before.z, sd * sd);
}

function centred(move: Move, covariance: Matrix) {
  return { mean: move.change.map(() => 0), covariance };
}

function normalDensity(value: number, sd: number): number {
  return Math.exp(-0.5 * (value / sd) ** 2) / (sd * Math.sqrt(2 * Math.PI));
}
