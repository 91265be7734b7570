import { describe, expect, it } from 'vitest';
import { fitCommonLine } from '../../calibration/common-line-fit.ts';
import { fitYork } from '../../calibration/york-regression.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';

interface Truth {
  readonly slope: readonly number[];
  readonly intercept: readonly number[];
  readonly pressure: readonly number[];
  readonly uncertainty: readonly (readonly number[])[];
}

/** Channels of slope mean 1 and intercept mean 0, so that the common scale is the true one. */
function truthOf(random: SeededRandom, channels: number, steps: number): Truth {
  const about = (mean: number, values: number[]): number[] => {
    const found = values.reduce((sum, value) => sum + value, 0) / values.length;
    return values.map((value) => value - found + mean);
  };
  return {
    slope: about(
      1,
      Array.from({ length: channels }, () => random.between(0.97, 1.03)),
    ),
    intercept: about(
      0,
      Array.from({ length: channels }, () => random.between(-2, 2)),
    ),
    pressure: Array.from({ length: steps }, (_, at) => 25 + (75 * at) / (steps - 1)),
    uncertainty: Array.from({ length: channels }, () =>
      Array.from({ length: steps }, () => random.between(0.02, 0.2)),
    ),
  };
}

function readingsOf(truth: Truth, random: SeededRandom): number[][] {
  return truth.slope.map((slope, channel) =>
    truth.pressure.map(
      (pressure, step) =>
        truth.intercept[channel]! + slope * pressure + truth.uncertainty[channel]![step]! * random.normal(),
    ),
  );
}

describe('lines of several channels to a common pressure', () => {
  it('are York’s line of one against the other where there are two (seeds 1 to 20)', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const random = seededRandom(seed, 9);
      const truth = truthOf(random, 2, 7);
      const readings = readingsOf(truth, random);
      const fit = fitCommonLine(readings, truth.uncertainty)!;
      const york = fitYork(
        truth.pressure.map((_, step) => ({
          x: readings[0]![step]!,
          ux: truth.uncertainty[0]![step]!,
          y: readings[1]![step]!,
          uy: truth.uncertainty[1]![step]!,
        })),
      )!;
      // reading 2 = intercept 2 + slope 2 (reading 1 - intercept 1) / slope 1
      const slope = fit.gain[0]! / fit.gain[1]!;
      expect(slope, `seed ${seed}`).toBeCloseTo(york.slope, 10);
      expect((fit.offsetKpa[0]! - fit.offsetKpa[1]!) / fit.gain[1]!, `seed ${seed}`).toBeCloseTo(
        york.intercept,
        8,
      );
      expect(fit.chiSquare / fit.degreesOfFreedom, `seed ${seed}`).toBeCloseTo(york.reducedChiSquare!, 8);
    }
  });

  it('find known channels exactly where nothing is noisy', () => {
    const random = seededRandom(31, 9);
    const truth = truthOf(random, 5, 4);
    const readings = truth.slope.map((slope, channel) =>
      truth.pressure.map((pressure) => truth.intercept[channel]! + slope * pressure),
    );
    const fit = fitCommonLine(readings, truth.uncertainty)!;
    fit.gain.forEach((gain, channel) => {
      expect(gain).toBeCloseTo(1 / truth.slope[channel]!, 11);
      expect(fit.offsetKpa[channel]!).toBeCloseTo(-truth.intercept[channel]! / truth.slope[channel]!, 9);
    });
    expect(fit.chiSquare).toBeLessThan(1e-15);
    fit.commonKpa.forEach((pressure, step) => {
      expect(pressure).toBeCloseTo(truth.pressure[step]!, 9);
    });
  });

  it('do not depend on the order of channels and steps', () => {
    const random = seededRandom(32, 9);
    const truth = truthOf(random, 4, 6);
    const readings = readingsOf(truth, random);
    const fit = fitCommonLine(readings, truth.uncertainty)!;
    const order = [2, 0, 3, 1];
    const steps = [5, 1, 3, 0, 2, 4];
    const turned = fitCommonLine(
      order.map((channel) => steps.map((step) => readings[channel]![step]!)),
      order.map((channel) => steps.map((step) => truth.uncertainty[channel]![step]!)),
    )!;
    order.forEach((channel, at) => {
      expect(turned.gain[at]!).toBeCloseTo(fit.gain[channel]!, 12);
      expect(turned.offsetKpa[at]!).toBeCloseTo(fit.offsetKpa[channel]!, 10);
      expect(turned.covariance[2 * at]![2 * at]! / fit.covariance[2 * channel]![2 * channel]!).toBeCloseTo(
        1,
        6,
      );
    });
  });

  it('have the covariance that many repetitions scatter by, and chi-square its degrees of freedom (seed 33)', () => {
    const random = seededRandom(33, 9);
    const truth = truthOf(random, 3, 5);
    const repeats = 4000;
    const at = 45;
    const stated = fitCommonLine(readingsOf(truth, random), truth.uncertainty)!.covariance;
    // Error of channel 1, of channel 3, and of their difference at 45 kPa.
    const weights = [
      [at, 1, 0, 0, 0, 0],
      [0, 0, 0, 0, at, 1],
      [at, 1, 0, 0, -at, -1],
    ];
    const sums = [0, 0, 0];
    let chiSquare = 0;
    for (let repeat = 0; repeat < repeats; repeat++) {
      const fit = fitCommonLine(readingsOf(truth, random), truth.uncertainty)!;
      chiSquare += fit.chiSquare;
      const errors = fit.gain.map(
        (gain, channel) =>
          gain * (truth.intercept[channel]! + truth.slope[channel]! * at) + fit.offsetKpa[channel]! - at,
      );
      [errors[0]!, errors[2]!, errors[0]! - errors[2]!].forEach((error, which) => {
        sums[which]! += error ** 2;
      });
    }
    weights.forEach((weight, which) => {
      const variance = weight.reduce(
        (sum, left, i) => sum + weight.reduce((inner, right, j) => inner + left * right * stated[i]![j]!, 0),
        0,
      );
      // A variance of 4000 values is known to √(2/4000) = 2.2 %; four of these.
      expect(Math.abs(sums[which]! / repeats / variance - 1)).toBeLessThan(0.09);
    });
    // Mean of chi-square (J-1)(K-2) = 6, standard error √12/√4000 = 0.055.
    expect(Math.abs(chiSquare / repeats - 6)).toBeLessThan(0.22);
  });

  it('need two channels, three steps and uncertainties', () => {
    expect(() => fitCommonLine([[1, 2, 3]], [[1, 1, 1]])).toThrow(RangeError);
    expect(() =>
      fitCommonLine(
        [
          [1, 2],
          [1, 2],
        ],
        [
          [1, 1],
          [1, 1],
        ],
      ),
    ).toThrow(RangeError);
    const three = [
      [1, 2, 3],
      [1, 2, 3],
    ];
    expect(() =>
      fitCommonLine(three, [
        [1, 1, 0],
        [1, 1, 1],
      ]),
    ).toThrow(RangeError);
    const flat = [
      [5, 5, 5],
      [5, 5, 5],
    ];
    expect(
      fitCommonLine(flat, [
        [1, 1, 1],
        [1, 1, 1],
      ]),
    ).toBeNull();
  });
});
