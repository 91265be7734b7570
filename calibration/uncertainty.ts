/** Combination of uncertainties after the Guide to the expression of uncertainty in measurement, JCGM 100:2008. */
import { studentTQuantile } from './student-t.ts';

/** One cause of doubt. */
export interface UncertaintyComponent {
  readonly standardUncertainty: number;
  /** What a unit of it does to the result: ∂f/∂x. 1 when left out. */
  readonly sensitivity?: number;
  /** Infinity when left out: known beyond doubt. */
  readonly degreesOfFreedom?: number;
}

/** Standard uncertainty of a value known only to lie within ± half-width, every place alike (4.3.7). */
export function rectangular(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

/** The coverage factor with which every ± of this project is given: about 95 % (6.2.1). */
export const COVERAGE_FACTOR = 2;

/** Combined standard uncertainty of independent components, u = √Σ(c u)² (equation 10). */
export function combined(components: readonly UncertaintyComponent[]): number {
  return Math.hypot(...components.map(contribution));
}

/** Welch-Satterthwaite: u⁴ / Σ (c u)⁴/ν (equation G.2b); Infinity when every component is known beyond doubt. */
export function effectiveDegreesOfFreedom(components: readonly UncertaintyComponent[]): number {
  const total = combined(components);
  const sum = components.reduce(
    (so, component) => so + contribution(component) ** 4 / (component.degreesOfFreedom ?? Infinity),
    0,
  );
  return sum > 0 ? total ** 4 / sum : Infinity;
}

/**
 * Expanded uncertainty with the coverage factor from Student's t, effective degrees of freedom cut to a whole
 * number (G.4.1, G.6.4).
 *
 * @param coverage probability, e.g. 0.95
 */
export function expandedFor(components: readonly UncertaintyComponent[], coverage: number): number {
  const effective = effectiveDegreesOfFreedom(components);
  const whole = Number.isFinite(effective) ? Math.max(1, Math.floor(effective)) : 1e9;
  return studentTQuantile((1 + coverage) / 2, whole) * combined(components);
}

function contribution({ standardUncertainty, sensitivity = 1 }: UncertaintyComponent): number {
  return Math.abs(sensitivity) * standardUncertainty;
}
