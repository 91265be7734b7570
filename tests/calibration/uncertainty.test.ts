import { describe, expect, it } from 'vitest';
import { fitLine } from '../../calibration/linear-regression.ts';
import { rectangular } from '../../calibration/uncertainty.ts';

describe('the uncertainty of limits', () => {
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
    const { intercept, slope, interceptSlope } = fit.covariance;
    expect(Math.sqrt(intercept + 20 * interceptSlope + 100 * slope).toFixed(4)).toBe('0.0041');
  });

  it('leaves the published residuals', () => {
    // Table H.6, last column, thousandths of a degree, to the printed digit.
    const published = [-3.1, -2.2, -0.3, 5.6, -0.5, -2.5, 5.4, 3.3, 0.2, -2.9, -3.0];
    fit.residuals.forEach((residual, at) => {
      expect(Math.abs(1000 * residual - published[at]!)).toBeLessThan(0.11);
    });
  });
});
