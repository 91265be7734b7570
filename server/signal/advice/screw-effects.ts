/**
 * What each screw does, learned from the moves: how far the person's last move of it shifted the balance, and in which
 * direction of the gap space. The unit of a screw is the person's own last move of it, so the effect is estimated
 * anew with every move: the old effect, scaled by how far the new move is thought to go, is the prior, and the
 * change that was seen updates it (see `observed`).
 */
import type { Matrix } from '../../../calibration/solve-linear.ts';
import { toSpace } from './gap-space.ts';
import {
  addMatrices,
  dot,
  type Gaussian,
  identity,
  logDensity,
  multiply,
  norm,
  observed,
  outer,
  scaleMatrix,
} from './gaussian.ts';
import type { LinkageScrew } from './linkage.ts';

export interface ScrewEffect {
  /** Direction in which it shifts the balance, length 1; its sign means nothing. */
  readonly direction: readonly number[];
  /** Covariance of that direction, across it. */
  readonly directionCovariance: Matrix;
  /** Effect of the person's last move of it [kPa]; null while no move of it is known. */
  readonly unit: Gaussian | null;
  readonly moves: number;
}

/** How far a move of a screw is thought to go, in last moves of it. */
export interface ExpectedTurn {
  readonly fraction: number;
  readonly sd: number;
}

/** Part by which the true direction of a screw may stand off from what the make of the set tells. */
const SHAPE_SD = 0.25;
/** Part by which a learned direction may have changed by the next move: slack in the linkage, other operating point. */
const FORGET_SD = 0.04;
/** A move of unknown size is of one of these [kPa]. */
const MOVE_SCALES_KPA = [0.4, 1.2, 3.6];
/** A known effect becomes less sure with every move [part of its variance]. */
const FORGETTING = 1.1;
/** A hand asked for a fraction turns about that much [part], and no finer than this [last moves]. */
const HAND_SD = 0.3;
const FINEST_SD = 0.06;

/** What the make of the set tells before anything has moved. */
export function priorEffect(screw: LinkageScrew, axes: Matrix): ScrewEffect {
  const shape = toSpace(axes, screw.vacuumShape);
  const length = norm(shape);
  const direction = shape.map((value) => value / length);
  return {
    direction,
    directionCovariance: scaleMatrix(across(direction), SHAPE_SD ** 2),
    unit: null,
    moves: 0,
  };
}

/** How a hand carries out an advice. */
export function handTurns(fraction: number): ExpectedTurn {
  return { fraction, sd: Math.hypot(HAND_SD * fraction, FINEST_SD) };
}

/** The effect with its unit forgotten: a move that may have been of this screw could not be told. */
export function withoutUnit(effect: ScrewEffect): ScrewEffect {
  return { ...effect, unit: null };
}

/**
 * The changes of balance that a move of the screw may make, each as likely as the others.
 *
 * @param turn how far it is thought to go, or null when that is not known
 */
export function predictedChanges(effect: ScrewEffect, turn: ExpectedTurn | null): Gaussian[] {
  const { unit, direction, directionCovariance } = effect;
  if (unit === null || turn === null) {
    const spread = addMatrices(outer(direction), directionCovariance);
    const mean = direction.map(() => 0);
    return MOVE_SCALES_KPA.map((scale) => ({ mean, covariance: scaleMatrix(spread, scale * scale) }));
  }
  const { fraction, sd } = turn;
  const known = scaleMatrix(unit.covariance, FORGETTING * (fraction ** 2 + sd ** 2));
  const ofTurn = outer(unit.mean, sd * sd);
  const drift = scaleMatrix(across(direction), (FORGET_SD * fraction * norm(unit.mean)) ** 2);
  return [
    {
      mean: unit.mean.map((value) => fraction * value),
      covariance: addMatrices(addMatrices(known, ofTurn), drift),
    },
  ];
}

/** What is known of the screw after a move of it was seen. */
export function learnedEffect(
  effect: ScrewEffect,
  turn: ExpectedTurn | null,
  change: readonly number[],
  noise: Matrix,
): ScrewEffect {
  const priors = predictedChanges(effect, turn);
  const likely = (prior: Gaussian) =>
    logDensity(change, { mean: prior.mean, covariance: addMatrices(prior.covariance, noise) });
  const prior = priors.reduce((best, one) => (likely(one) > likely(best) ? one : best));
  const unit = observed(prior, change, noise);
  const length = norm(unit.mean);
  if (!(length > 0)) return { ...effect, unit, moves: effect.moves + 1 };
  const direction = unit.mean.map((value) => value / length);
  const sideways = across(direction);
  const learned = scaleMatrix(multiply(multiply(sideways, unit.covariance), sideways), 1 / length ** 2);
  // A small move tells little of the direction: never less sure than before any move.
  const most = Math.max(...learned.map((row, at) => row[at]!));
  const shrink = most > SHAPE_SD ** 2 ? SHAPE_SD ** 2 / most : 1;
  return {
    direction,
    directionCovariance: addMatrices(scaleMatrix(learned, shrink), scaleMatrix(sideways, FORGET_SD ** 2)),
    unit,
    moves: effect.moves + 1,
  };
}

/** Length of the last move [kPa], along the screw's own direction, and its standard uncertainty. */
export function unitLengthKpa(unit: Gaussian): { readonly length: number; readonly sd: number } {
  const length = norm(unit.mean);
  const along = unit.mean.map((value) => value / length);
  const sd = Math.sqrt(
    Math.max(
      0,
      dot(
        along,
        unit.covariance.map((row) => dot(row, along)),
      ),
    ),
  );
  return { length, sd };
}

/** Projection on what is at right angles to a direction of length 1. */
function across(direction: readonly number[]): number[][] {
  return addMatrices(identity(direction.length), outer(direction, -1));
}
