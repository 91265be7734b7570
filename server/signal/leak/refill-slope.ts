/**
 * Relative air opening of a cylinder from how fast its port refills between two intake strokes.
 *
 * While the port's pressure p is below 0.528 of the air's outside the throttle is choked and p rises in a straight
 * line: dp/dt = Cd A φ* sqrt(R T) p0 / V, so the slope is in proportion to open area over port volume. Above that
 * the flow slackens by the orifice law; in the filling coordinate of `orifice-leak.ts` the rise stays straight up to
 * balance, so a port that chokes for a short time only, or not at all, can be told too.
 *
 * The stretch that is used begins when the intake valve has shut, where the slope has come up to its plateau, and
 * ends before the next stroke begins. It is found in the pulse folded over all cycles; the slope is then taken from
 * each cycle's own samples, so speed that wanders does no harm.
 */

import { seriesMean } from '../series-mean.ts';
import { fillingCoordinate } from './orifice-leak.ts';
import { type RefillWindow, refillWindow } from './refill-window.ts';

export interface RefillInput {
  /** Rising times of the rows [s]. */
  readonly timeS: ArrayLike<number>;
  /** Absolute pressure of one cylinder, as many; NaN where missing [kPa]. */
  readonly kpa: ArrayLike<number>;
  /** Delay of this channel's conversion behind the row's time [s]. Default 0. */
  readonly delayS?: number;
  /** Whole cycles of this cylinder, rising, from the fall of its pressure to the next. */
  readonly cycles: readonly { readonly startS: number; readonly endS: number }[];
  readonly barometricKpa: number;
}

export interface RefillSlope {
  /** Rise of pressure while choked, or would be [kPa/s]: in proportion to open area over port volume. */
  readonly kpaPerS: number;
  readonly standardError: number;
  /** Cycles that it rests on. */
  readonly cycles: number;
  /** Part of the samples used that were choked, 0…1. */
  readonly chokedShare: number;
  readonly window: RefillWindow;
}

export type RefillRefusal = 'too-few-cycles' | 'no-refill' | 'too-few-samples';

export type RefillResult =
  | { readonly slope: RefillSlope; readonly refusal: null }
  | { readonly slope: null; readonly refusal: RefillRefusal };

const FEWEST_CYCLES = 8;
/** Samples in the stretch of one cycle for it to have a slope of its own. */
const FEWEST_SAMPLES = 3;

export function refillSlope(input: RefillInput): RefillResult {
  const { cycles } = input;
  if (cycles.length < FEWEST_CYCLES) return { slope: null, refusal: 'too-few-cycles' };
  const window = refillWindow(input);
  if (window === null) return { slope: null, refusal: 'no-refill' };
  const slopes: number[] = [];
  let weighted = 0;
  let weights = 0;
  let choked = 0;
  let samples = 0;
  eachCycle(input, window, (line) => {
    weighted += line.sxy;
    weights += line.sxx;
    choked += line.choked;
    samples += line.count;
    slopes.push(line.sxy / line.sxx);
  });
  if (slopes.length < FEWEST_CYCLES) return { slope: null, refusal: 'too-few-samples' };
  const { standardError } = seriesMean(slopes);
  return {
    slope: {
      // Cycles with more samples, further apart in time, count more.
      kpaPerS: weighted / weights,
      standardError: standardError ?? Number.POSITIVE_INFINITY,
      cycles: slopes.length,
      chokedShare: choked / samples,
      window,
    },
    refusal: null,
  };
}

interface CycleLine {
  readonly sxx: number;
  readonly sxy: number;
  readonly count: number;
  readonly choked: number;
}

/** Least squares of the filling coordinate by time over the stretch of each cycle. */
function eachCycle(input: RefillInput, window: RefillWindow, take: (line: CycleLine) => void): void {
  const { timeS, kpa, barometricKpa } = input;
  const delayS = input.delayS ?? 0;
  let row = 0;
  for (const { startS, endS } of input.cycles) {
    const lengthS = endS - startS;
    const fromS = startS + window.from * lengthS - delayS;
    const toS = startS + window.to * lengthS - delayS;
    while (row > 0 && timeS[row - 1]! > fromS) row--;
    while (row < timeS.length && timeS[row]! < fromS) row++;
    let count = 0;
    let choked = 0;
    let sx = 0;
    let sy = 0;
    let sxx = 0;
    let sxy = 0;
    for (; row < timeS.length && timeS[row]! <= toS; row++) {
      const value = kpa[row]!;
      if (value - value !== 0) continue;
      const ratio = value / barometricKpa;
      const y = barometricKpa * fillingCoordinate(ratio);
      const x = timeS[row]! - fromS;
      count++;
      if (y === value) choked++;
      sx += x;
      sy += y;
      sxx += x * x;
      sxy += x * y;
    }
    if (count < FEWEST_SAMPLES) continue;
    take({ sxx: sxx - (sx * sx) / count, sxy: sxy - (sx * sy) / count, count, choked });
  }
}
