import { describe, expect, it } from 'vitest';
import { errorBandPrior, errorLineUncertaintyKpa } from '../../calibration/error-line.ts';
import { fitSpan, type ReferenceGauge, type SpanPoint } from '../../calibration/span.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';

const GAUGE: ReferenceGauge = { lowestKpa: 0, highestKpa: 100, statedKpa: 0.6, stated: 'limits' };
const ZERO = { kpa: 101, standardUncertaintyKpa: 0.1 };

function point(readingKpa: number, referenceKpa: number): SpanPoint {
  return { readingKpa, readingUncertaintyKpa: 0.02, referenceKpa, referenceUncertaintyKpa: 0.2 };
}

/** A channel scale and a gauge with random errors within what is stated, read at some pressures. */
function comparison(random: SeededRandom, pressures: readonly number[]) {
  const atLow = random.between(-GAUGE.statedKpa, GAUGE.statedKpa);
  const atHigh = random.between(-GAUGE.statedKpa, GAUGE.statedKpa);
  const gain = random.between(0.98, 1.02);
  const offset = random.between(-2, 2);
  const points = pressures.map((kpa) =>
    point(
      gain * kpa + offset + 0.02 * random.normal(),
      kpa + atLow + ((atHigh - atLow) * kpa) / 100 + 0.2 * random.normal(),
    ),
  );
  return { points, read: (kpa: number) => gain * kpa + offset };
}

describe('span against a reference gauge', () => {
  it('takes over the line through the readings', () => {
    const fit = fitSpan([point(30, 31), point(50, 51.2), point(70, 71.4), point(95, 96.65)], GAUGE);
    if (!fit.ok) throw new Error(fit.code);
    expect(fit.gain).toBeCloseTo(1.01, 10);
    expect(fit.offsetKpa).toBeCloseTo(0.7, 8);
    expect(fit.degreesOfFreedom).toBe(2);
  });

  it('is never surer than the gauge', () => {
    const fit = fitSpan([point(30, 30), point(50, 50), point(70, 70), point(95, 95)], GAUGE);
    if (!fit.ok) throw new Error(fit.code);
    const gauge = errorBandPrior(0.6, 0, 100);
    for (const kpa of [20, 40, 60, 95])
      expect(errorLineUncertaintyKpa(fit.covariance, kpa)).toBeGreaterThan(
        errorLineUncertaintyKpa(gauge, kpa),
      );
  });

  it('knows limits, expanded and standard uncertainty apart', () => {
    const points = [point(30, 30), point(50, 50), point(95, 95)];
    const at40 = (statedKpa: number, stated: ReferenceGauge['stated']): number => {
      const fit = fitSpan(points, { ...GAUGE, statedKpa, stated });
      if (!fit.ok) throw new Error(fit.code);
      return errorLineUncertaintyKpa(fit.covariance, 40);
    };
    expect(at40(Math.sqrt(3), 'limits')).toBeCloseTo(at40(1, 'standard'), 10);
    expect(at40(2, 'expanded')).toBeCloseTo(at40(1, 'standard'), 10);
  });

  it('covers the truth at 40 kPa in 93 to 98 % of 2,000 comparisons (seeds 1 to 2000)', () => {
    let covered = 0;
    for (let seed = 1; seed <= 2000; seed++) {
      const { points, read } = comparison(seededRandom(seed, 41), [25, 40, 60, 80, 98]);
      const fit = fitSpan(points, GAUGE);
      if (!fit.ok) throw new Error(`seed ${seed}: ${fit.code} ${fit.detail}`);
      const error = fit.gain * read(40) + fit.offsetKpa - 40;
      if (Math.abs(error) <= 2 * errorLineUncertaintyKpa(fit.covariance, 40)) covered++;
    }
    expect(covered / 2000).toBeGreaterThan(0.93);
    expect(covered / 2000).toBeLessThan(0.98);
  });

  it('turns about a fresh zero where one reading is all there is', () => {
    const fit = fitSpan([point(41, 42)], GAUGE, ZERO);
    if (!fit.ok) throw new Error(fit.code);
    expect(fit.gain).toBeCloseTo(59 / 60, 10);
    expect(fit.gain * 101 + fit.offsetKpa).toBeCloseTo(101, 10);
    expect(fit.gain * 41 + fit.offsetKpa).toBeCloseTo(42, 10);
    // At the zero it is the barometer's, at the reading the gauge's and the eye's.
    expect(errorLineUncertaintyKpa(fit.covariance, 101)).toBeCloseTo(0.1, 6);
    const gauge = errorLineUncertaintyKpa(errorBandPrior(0.6, 0, 100), 42);
    expect(errorLineUncertaintyKpa(fit.covariance, 42)).toBeCloseTo(Math.hypot(gauge, 0.2, 0.02), 2);
  });

  it('about a fresh zero covers the truth at 40 kPa in 93 to 98 % of 2,000 comparisons (seeds 1 to 2000)', () => {
    let covered = 0;
    for (let seed = 1; seed <= 2000; seed++) {
      const random = seededRandom(seed, 42);
      const { points, read } = comparison(random, [35, 45]);
      const zeroed = read(ZERO.kpa) - ZERO.kpa - ZERO.standardUncertaintyKpa * random.normal();
      const shifted = points.map((p) => ({ ...p, readingKpa: p.readingKpa - zeroed }));
      const fit = fitSpan(shifted, GAUGE, ZERO);
      if (!fit.ok) throw new Error(`seed ${seed}: ${fit.code} ${fit.detail}`);
      const error = fit.gain * (read(40) - zeroed) + fit.offsetKpa - 40;
      if (Math.abs(error) <= 2 * errorLineUncertaintyKpa(fit.covariance, 40)) covered++;
    }
    expect(covered / 2000).toBeGreaterThan(0.93);
    expect(covered / 2000).toBeLessThan(0.985);
  });

  it.each([
    ['span-too-few-points', [point(30, 30), point(90, 90)], null],
    ['span-too-few-points', [], ZERO],
    ['span-too-small', [point(30, 30), point(35, 35), point(40, 40)], null],
    ['span-too-small', [point(90, 90)], ZERO],
    ['span-gain-implausible', [point(30, 60), point(50, 75), point(90, 100)], null],
    // Vacuum written where absolute pressure was asked for.
    ['span-gain-implausible', [point(30, 71), point(50, 51), point(90, 11)], null],
    ['span-scatter-large', [point(30, 30), point(50, 56), point(70, 64), point(90, 90)], null],
  ])('is refused: %s', (code, points, zero) => {
    expect(fitSpan(points, GAUGE, zero)).toMatchObject({ ok: false, code });
  });
});

describe('the error line of an error band', () => {
  it('is the band as a rectangular distribution at the ends and 1/√2 of it in the middle', () => {
    const prior = errorBandPrior(1.5, 15, 115);
    expect(errorLineUncertaintyKpa(prior, 15)).toBeCloseTo(1.5 / Math.sqrt(3), 12);
    expect(errorLineUncertaintyKpa(prior, 115)).toBeCloseTo(1.5 / Math.sqrt(3), 12);
    expect(errorLineUncertaintyKpa(prior, 65)).toBeCloseTo(1.5 / Math.sqrt(6), 12);
    expect(() => errorBandPrior(1, 50, 50)).toThrow(RangeError);
  });
});
