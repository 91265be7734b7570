import { describe, expect, it } from 'vitest';
import { fitLine } from '../../calibration/linear-regression.ts';
import { fitYork, type YorkPoint } from '../../calibration/york-regression.ts';
import { seededRandom } from '../engines/seeded-random.ts';

/** Pearson's points (1901) with York's weights (1966), as they are reprinted since; from memory. */
const PEARSON_YORK: readonly YorkPoint[] = [
  [0, 5.9, 1000, 1],
  [0.9, 5.4, 1000, 1.8],
  [1.8, 4.4, 500, 4],
  [2.6, 4.6, 800, 8],
  [3.3, 3.5, 200, 20],
  [4.4, 3.7, 80, 20],
  [5.2, 2.8, 60, 70],
  [6.1, 2.8, 20, 70],
  [6.5, 2.4, 1.8, 100],
  [7.4, 1.5, 1, 500],
].map(([x, y, wx, wy]) => ({ x: x!, y: y!, ux: 1 / Math.sqrt(wx!), uy: 1 / Math.sqrt(wy!) }));

describe('a line with errors in both variables', () => {
  it('agrees with the published line through Pearson’s data with York’s weights', () => {
    // Intercept, slope and standard errors: York et al. (2004); more digits and the reduced chi-square: tests of the R package bfsl.
    const fit = fitYork(PEARSON_YORK)!;
    expect(fit.intercept).toBeCloseTo(5.479910224, 9);
    expect(fit.slope).toBeCloseTo(-0.480533407, 9);
    expect(Math.sqrt(fit.covariance.intercept)).toBeCloseTo(0.294970735, 9);
    expect(Math.sqrt(fit.covariance.slope)).toBeCloseTo(0.057985009, 9);
    expect(fit.reducedChiSquare).toBeCloseTo(1.483294149, 9);
    expect(fit.degreesOfFreedom).toBe(8);
  });

  it('is the ordinary weighted line where only y has errors', () => {
    const points = PEARSON_YORK.map((point) => ({ ...point, ux: 0 }));
    const fit = fitYork(points)!;
    const ordinary = fitLine(
      points.map(({ x }) => x),
      points.map(({ y }) => y),
      { weights: points.map(({ uy }) => uy ** -2), scale: 'known' },
    );
    expect(fit.slope).toBeCloseTo(ordinary.slope, 12);
    expect(fit.intercept).toBeCloseTo(ordinary.intercept, 12);
    expect(fit.covariance.slope).toBeCloseTo(ordinary.covariance.slope, 12);
    expect(fit.covariance.intercept).toBeCloseTo(ordinary.covariance.intercept, 12);
    expect(fit.covariance.interceptSlope).toBeCloseTo(ordinary.covariance.interceptSlope, 12);
  });

  it('is Deming’s closed form where all points are alike (seeds 1 to 20)', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const random = seededRandom(seed, 6);
      const ux = random.between(0.1, 2);
      const uy = random.between(0.1, 2);
      const points = Array.from({ length: 12 }, (_, at) => {
        const truth = 8 * at;
        return { x: truth + ux * random.normal(), y: 3 + 0.9 * truth + uy * random.normal(), ux, uy };
      });
      const mean = (of: (point: YorkPoint) => number): number =>
        points.reduce((sum, point) => sum + of(point), 0) / points.length;
      const mx = mean(({ x }) => x);
      const my = mean(({ y }) => y);
      const xx = mean(({ x }) => (x - mx) ** 2);
      const yy = mean(({ y }) => (y - my) ** 2);
      const xy = mean(({ x, y }) => (x - mx) * (y - my));
      const ratio = (uy / ux) ** 2;
      const slope = (yy - ratio * xx + Math.sqrt((yy - ratio * xx) ** 2 + 4 * ratio * xy ** 2)) / (2 * xy);
      expect(fitYork(points)!.slope, `seed ${seed}`).toBeCloseTo(slope, 10);
    }
  });

  it('turns over with its axes', () => {
    const turned = fitYork(PEARSON_YORK.map(({ x, y, ux, uy }) => ({ x: y, y: x, ux: uy, uy: ux })))!;
    const fit = fitYork(PEARSON_YORK)!;
    expect(1 / turned.slope).toBeCloseTo(fit.slope, 10);
    expect(-turned.intercept / turned.slope).toBeCloseTo(fit.intercept, 10);
  });

  it('states errors that hold: 93 to 97 % of 2,000 lines within two of them (seeds 1 to 2000)', () => {
    let slopes = 0;
    let intercepts = 0;
    for (let seed = 1; seed <= 2000; seed++) {
      const random = seededRandom(seed, 7);
      const points = Array.from({ length: 8 }, (_, at) => {
        const truth = 20 + 10 * at;
        const ux = random.between(0.05, 0.5);
        const uy = random.between(0.05, 0.5);
        return { x: truth + ux * random.normal(), y: 1 + 0.98 * truth + uy * random.normal(), ux, uy };
      });
      const { slope, intercept, covariance } = fitYork(points)!;
      if (Math.abs(slope - 0.98) <= 2 * Math.sqrt(covariance.slope)) slopes++;
      if (Math.abs(intercept - 1) <= 2 * Math.sqrt(covariance.intercept)) intercepts++;
    }
    for (const covered of [slopes, intercepts]) {
      expect(covered / 2000).toBeGreaterThan(0.93);
      expect(covered / 2000).toBeLessThan(0.97);
    }
  });

  it('is refused without two different points or without uncertainties', () => {
    expect(() => fitYork([{ x: 1, y: 1, ux: 1, uy: 1 }])).toThrow(RangeError);
    expect(() => fitYork(PEARSON_YORK.map((point) => ({ ...point, x: 1 })))).toThrow(RangeError);
    expect(() => fitYork(PEARSON_YORK.map((point) => ({ ...point, ux: 0, uy: 0 })))).toThrow(RangeError);
  });
});
