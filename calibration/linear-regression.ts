/** Straight lines by least squares where only y has errors, with the covariance of what is found. */

export interface LineFit {
  readonly intercept: number;
  readonly slope: number;
  readonly covariance: LineCovariance;
  /** √(Σ w r² / degrees of freedom); null where there are no degrees of freedom. */
  readonly residualSd: number | null;
  readonly degreesOfFreedom: number;
  /** Share of the variation explained: about the mean, or about 0 for a line through the origin. */
  readonly rSquared: number;
  readonly residuals: readonly number[];
}

export interface LineCovariance {
  readonly intercept: number;
  readonly slope: number;
  readonly interceptSlope: number;
}

/**
 * Ordinary or weighted least squares y = intercept + slope x.
 *
 * With weights 1/u² of known standard uncertainties and `scale: 'known'` the covariance follows from them alone;
 * otherwise it is scaled by what the residuals show. JCGM 100:2008 H.3.2 gives the formulas of the ordinary case.
 *
 * @param x, y equally many, at least 2 finite values, x not all equal
 * @throws RangeError when there is no line to be found
 * @example fitLine([0, 1, 2], [1, 3, 5]).slope // 2
 */
export function fitLine(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  options: { readonly weights?: ArrayLike<number>; readonly scale?: 'known' | 'residuals' } = {},
): LineFit {
  const n = countOf(x, y, options.weights, 2);
  const weight = weightsOf(options.weights);
  let total = 0;
  let sumX = 0;
  let sumY = 0;
  for (let index = 0; index < n; index++) {
    total += weight(index);
    sumX += weight(index) * x[index]!;
    sumY += weight(index) * y[index]!;
  }
  const meanX = sumX / total;
  const meanY = sumY / total;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let index = 0; index < n; index++) {
    const dx = x[index]! - meanX;
    const dy = y[index]! - meanY;
    xx += weight(index) * dx * dx;
    xy += weight(index) * dx * dy;
    yy += weight(index) * dy * dy;
  }
  if (!(xx > 0)) throw new RangeError('A line needs two different x');
  const slope = xy / xx;
  const intercept = meanY - slope * meanX;
  // About the centre, where nothing cancels.
  const residuals = Array.from({ length: n }, (_, at) => y[at]! - meanY - slope * (x[at]! - meanX));
  const squares = residuals.reduce((sum, residual, at) => sum + weight(at) * residual * residual, 0);
  const degreesOfFreedom = n - 2;
  const residualSd = degreesOfFreedom > 0 ? Math.sqrt(squares / degreesOfFreedom) : null;
  const variance = options.scale === 'known' ? 1 : (residualSd ?? Number.NaN) ** 2;
  return {
    intercept,
    slope,
    covariance: {
      intercept: variance * (1 / total + (meanX * meanX) / xx),
      slope: variance / xx,
      interceptSlope: (-variance * meanX) / xx,
    },
    residualSd,
    degreesOfFreedom,
    rSquared: yy > 0 ? 1 - squares / yy : 1,
    residuals,
  };
}

/**
 * Line through the origin, y = slope x.
 *
 * @param x, y equally many, at least 1 finite value, x not all 0
 * @throws RangeError when there is no line to be found
 */
export function fitThroughOrigin(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  options: { readonly weights?: ArrayLike<number>; readonly scale?: 'known' | 'residuals' } = {},
): LineFit {
  const n = countOf(x, y, options.weights, 1);
  const weight = weightsOf(options.weights);
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let index = 0; index < n; index++) {
    xx += weight(index) * x[index]! * x[index]!;
    xy += weight(index) * x[index]! * y[index]!;
    yy += weight(index) * y[index]! * y[index]!;
  }
  if (!(xx > 0)) throw new RangeError('A line through the origin needs an x other than 0');
  const slope = xy / xx;
  const residuals = Array.from({ length: n }, (_, at) => y[at]! - slope * x[at]!);
  const squares = residuals.reduce((sum, residual, at) => sum + weight(at) * residual * residual, 0);
  const degreesOfFreedom = n - 1;
  const residualSd = degreesOfFreedom > 0 ? Math.sqrt(squares / degreesOfFreedom) : null;
  const variance = options.scale === 'known' ? 1 : (residualSd ?? Number.NaN) ** 2;
  return {
    intercept: 0,
    slope,
    covariance: { intercept: 0, slope: variance / xx, interceptSlope: 0 },
    residualSd,
    degreesOfFreedom,
    rSquared: yy > 0 ? 1 - squares / yy : 1,
    residuals,
  };
}

function countOf(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
  least: number,
): number {
  if (x.length !== y.length || (weights !== undefined && weights.length !== x.length))
    throw new RangeError(
      `A line needs as many x as y and weights, not ${x.length}, ${y.length}, ${weights?.length}`,
    );
  if (x.length < least) throw new RangeError(`A line needs at least ${least} points, not ${x.length}`);
  return x.length;
}

function weightsOf(weights: ArrayLike<number> | undefined): (index: number) => number {
  return weights === undefined ? () => 1 : (index) => weights[index]!;
}
