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
  logMeanExp,
  mixed,
  multiply,
  norm,
  observed,
  outer,
  scaleMatrix,
} from './gaussian.ts';
import type { LinkageScrew } from './linkage.ts';

/** One way in which a screw may shift the balance. */
export interface ScrewShape {
  /** Length 1; either sign would do. */
  readonly direction: readonly number[];
  /** Covariance of the direction, across it. */
  readonly covariance: Matrix;
  /** What goes with a shift of 1 kPa along it: change of the logarithm of the engine speed, about. */
  readonly speedPerKpa: number;
}

export interface ScrewEffect {
  /** The likeliest first; those that are not ruled out yet after it. */
  readonly shapes: readonly ScrewShape[];
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
const SHAPE_SD = 0.2;
/** Part by which a learned direction may have changed by the next move: slack in the linkage, other operating point. */
const FORGET_SD = 0.04;
/** A move of unknown size is about one of these [kPa], either way, give or take a part of it. */
const MOVE_SIZES_KPA = [0.25, 0.5, 1, 2, 4, 8];
const SIZE_SD = 0.35;
/** A known effect becomes less sure with every move [part of its variance]. */
const FORGETTING = 1.1;
/** A hand asked for a fraction turns about that much [part], and no finer than this [last moves]. */
const HAND_SD = 0.3;
const FINEST_SD = 0.06;
/**
 * The speed goes with the mean area of the throttles, the vacuum of one against the logarithm of its own: at idle a
 * shift of all cylinders by 1 kPa stands for about so much of the logarithm of the speed. Common practice, no source.
 */
const LOG_SPEED_PER_KPA = 0.022;
/** A shape stays in mind until it is so many times less likely than the best. */
const RULED_OUT_TIMES = 20;

/** What the make of the set tells before anything has moved. */
export function priorEffect(screw: LinkageScrew, axes: Matrix): ScrewEffect {
  const shapes = [screw.vacuumShape, ...(screw.otherShapes ?? [])].map((vacuumShape): ScrewShape => {
    const shape = toSpace(axes, vacuumShape);
    const length = norm(shape);
    const direction = shape.map((value) => value / length);
    const common = vacuumShape.reduce((sum, value) => sum + value, 0) / vacuumShape.length;
    return {
      direction,
      covariance: scaleMatrix(across(direction), SHAPE_SD ** 2),
      speedPerKpa: (-LOG_SPEED_PER_KPA * common) / length,
    };
  });
  return { shapes, unit: null, moves: 0 };
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
  const { unit, shapes } = effect;
  if (unit === null || turn === null) return shapes.flatMap(unknownTurns);
  const { fraction, sd } = turn;
  const known = scaleMatrix(unit.covariance, FORGETTING * (fraction ** 2 + sd ** 2));
  const ofTurn = outer(unit.mean, sd * sd);
  const drift = scaleMatrix(across(shapes[0]!.direction), (FORGET_SD * fraction * norm(unit.mean)) ** 2);
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
  const asExpected = effect.unit !== null && turn !== null;
  const tried = effect.shapes.map((shape) => {
    const priors = asExpected ? predictedChanges(effect, turn) : unknownTurns(shape);
    const logs = priors.map(({ mean, covariance }) =>
      logDensity(change, { mean, covariance: addMatrices(covariance, noise) }),
    );
    return { shape, priors, logs, log: logMeanExp(logs) };
  });
  const best = tried.reduce((a, b) => (b.log > a.log ? b : a));
  const unit = mixed(
    best.priors.map((prior) => observed(prior, change, noise)),
    best.logs,
  );
  const stillPossible = asExpected
    ? []
    : tried.filter((one) => one !== best && one.log > best.log - Math.log(RULED_OUT_TIMES));
  const shapes = [learnedShape(best.shape, unit), ...stillPossible.map(({ shape }) => shape)];
  return { shapes, unit, moves: effect.moves + 1 };
}

function unknownTurns({ direction, covariance }: ScrewShape): Gaussian[] {
  const spread = addMatrices(outer(direction, SIZE_SD ** 2), covariance);
  return MOVE_SIZES_KPA.flatMap((size) =>
    [size, -size].map((shift) => ({
      mean: direction.map((value) => shift * value),
      covariance: scaleMatrix(spread, size * size),
    })),
  );
}

function learnedShape(shape: ScrewShape, unit: Gaussian): ScrewShape {
  const length = norm(unit.mean);
  if (!(length > 0)) return shape;
  const direction = unit.mean.map((value) => value / length);
  const sideways = across(direction);
  const learned = scaleMatrix(multiply(multiply(sideways, unit.covariance), sideways), 1 / length ** 2);
  // A small move tells little of the direction: never less sure than before any move.
  const most = Math.max(...learned.map((row, at) => row[at]!));
  const shrink = most > SHAPE_SD ** 2 ? SHAPE_SD ** 2 / most : 1;
  return {
    direction,
    covariance: addMatrices(scaleMatrix(learned, shrink), scaleMatrix(sideways, FORGET_SD ** 2)),
    speedPerKpa: shape.speedPerKpa * (dot(direction, shape.direction) < 0 ? -1 : 1),
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
