import { describe, expect, it } from 'vitest';
import { fitLine, lineUncertainty } from '../../calibration/linear-regression.ts';
import {
  combined,
  effectiveDegreesOfFreedom,
  expandedFor,
  rectangular,
} from '../../calibration/uncertainty.ts';

describe('the combination of uncertainties', () => {
  it('agrees with the end gauge of JCGM 100:2008, H.1 (figures from memory)', () => {
    // Table H.1, in nanometres: standard, comparison, thermal expansion, temperature difference.
    const components = [
      { standardUncertainty: 25, degreesOfFreedom: 18 },
      { standardUncertainty: 9.7, degreesOfFreedom: 25.6 },
      { standardUncertainty: 2.9, degreesOfFreedom: 50 },
      { standardUncertainty: 16.6, degreesOfFreedom: 2 },
    ];
    expect(combined(components)).toBeCloseTo(32, 0);
    expect(Math.floor(effectiveDegreesOfFreedom(components))).toBe(16);
    // U99 = 2.92 x 32 nm = 93 nm
    expect(expandedFor(components, 0.99)).toBeCloseTo(93, 0);
    // Its comparison: 5.8 nm (24), 3.9 nm (5), 6.7 nm (8) make 9.7 nm with 25.6 degrees of freedom.
    const comparison = [
      { standardUncertainty: 5.8, degreesOfFreedom: 24 },
      { standardUncertainty: 3.9, degreesOfFreedom: 5 },
      { standardUncertainty: 6.7, degreesOfFreedom: 8 },
    ];
    expect(combined(comparison)).toBeCloseTo(9.7, 1);
    expect(effectiveDegreesOfFreedom(comparison)).toBeCloseTo(25.6, 0);
  });

  it('weighs by sensitivity and has no end of degrees of freedom where all is known', () => {
    expect(combined([{ standardUncertainty: 2, sensitivity: -3 }, { standardUncertainty: 8 }])).toBe(10);
    expect(effectiveDegreesOfFreedom([{ standardUncertainty: 2 }])).toBe(Infinity);
    expect(expandedFor([{ standardUncertainty: 1 }], 0.95)).toBeCloseTo(1.96, 3);
    expect(combined([])).toBe(0);
  });

  it('takes limits as a rectangular distribution, whose standard deviation is that of a uniform variable', () => {
    const steps = 100_000;
    let squares = 0;
    for (let at = 0; at < steps; at++) squares += (((at + 0.5) / steps) * 2 - 1) ** 2;
    expect(rectangular(1)).toBeCloseTo(Math.sqrt(squares / steps), 8);
  });
});

describe('the calibration of a thermometer, JCGM 100:2008, H.3 (table H.6 from memory)', () => {
  const temperatures = [
    21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511,
  ];
  const corrections = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16];
  const fit = fitLine(
    temperatures.map((celsius) => celsius - 20),
    corrections,
  );

  it('gives the published line, its standard uncertainties and their correlation', () => {
    const { covariance } = fit;
    expect(fit.intercept.toFixed(4)).toBe('-0.1712');
    expect(fit.slope.toFixed(5)).toBe('0.00218');
    expect(Math.sqrt(covariance.intercept).toFixed(4)).toBe('0.0029');
    expect(Math.sqrt(covariance.slope).toFixed(5)).toBe('0.00067');
    const correlation = covariance.interceptSlope / Math.sqrt(covariance.intercept * covariance.slope);
    expect(correlation.toFixed(3)).toBe('-0.930');
    expect(fit.residualSd!.toFixed(4)).toBe('0.0035');
  });

  it('predicts the correction at 30 °C with its uncertainty', () => {
    expect((fit.intercept + 10 * fit.slope).toFixed(4)).toBe('-0.1494');
    expect(lineUncertainty(fit.covariance, 10).toFixed(4)).toBe('0.0041');
  });

  it('leaves the published residuals', () => {
    // Table H.6, last column, thousandths of a degree, to the printed digit.
    const published = [-3.1, -2.2, -0.3, 5.6, -0.5, -2.5, 5.4, 3.3, 0.2, -2.9, -3.0];
    fit.residuals.forEach((residual, at) => {
      expect(Math.abs(1000 * residual - published[at]!)).toBeLessThan(0.11);
    });
  });
});
