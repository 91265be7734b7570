import { describe, expect, it } from 'vitest';
import { holdTest } from '../../../../server/signal/leak/hold-test.ts';
import { chokedRiseKpaPerS } from '../../../../server/signal/leak/orifice-leak.ts';
import { holdVessel } from '../../../engines/hold-vessel.ts';
import { pumpedByHand } from './pumped-by-hand.ts';

const BARO_KPA = 100;
const options = { barometricKpa: BARO_KPA };

describe('a hold test', () => {
  it.each([
    [0.05, 200],
    [0.3, 60],
    [1, 30],
    [4, 8],
  ])('tells a leak of %f kPa/s within 3 % of the truth', (chokedKpaPerS, durationS) => {
    const { timeS, kpa } = holdVessel({
      seed: 5,
      durationS,
      sampleRateHz: 50,
      baroKpa: BARO_KPA,
      startKpa: 40,
      chokedKpaPerS,
      noiseKpa: 0.15,
      bits: 10,
    });
    const result = holdTest(timeS, kpa, options);
    expect(result.chokedKpaPerS!.value / chokedKpaPerS).toBeGreaterThan(0.97);
    expect(result.chokedKpaPerS!.value / chokedKpaPerS).toBeLessThan(1.03);
    expect(result.verdict).toBe('found');
    expect(result.reason).toBeNull();
  });

  it('finds the end of pumping by itself and fits only what comes after it', () => {
    const record = pumpedByHand({ seed: 3, chokedKpaPerS: 0.25, holdS: 40 });
    const result = holdTest(record.timeS, record.kpa, options);
    expect(result.pumpedUntilS).toBeCloseTo(record.pumpedUntilS, 0);
    expect(result.chokedKpaPerS!.value).toBeCloseTo(0.25, 2);
  });

  it('leaves out what comes after the hose was pulled off', () => {
    const record = pumpedByHand({ seed: 4, chokedKpaPerS: 0.1, holdS: 50, pulledOff: true });
    const result = holdTest(record.timeS, record.kpa, options);
    expect(result.chokedKpaPerS!.value).toBeCloseTo(0.1, 2);
    expect(result.watchedS).toBeGreaterThan(46);
    expect(result.watchedS).toBeLessThan(50.5);
  });

  it('passes a tight part, and says how much it may at most have lost', () => {
    const record = pumpedByHand({ seed: 5, chokedKpaPerS: 0, holdS: 70 });
    const result = holdTest(record.timeS, record.kpa, options);
    expect(result.verdict).toBe('not-found');
    expect(result.chokedKpaPerS).toBeNull();
    expect(Math.abs(result.firstMinuteDropKpa!.value)).toBeLessThan(0.3);
    expect(result.firstMinuteDropKpa!.standardUncertainty).toBeGreaterThan(0.05);
  });

  it('gives the drop in the first minute, measured or by the law', () => {
    const long = pumpedByHand({ seed: 6, chokedKpaPerS: 0.1, holdS: 80 });
    const short = pumpedByHand({ seed: 6, chokedKpaPerS: 0.1, holdS: 25 });
    for (const { timeS, kpa } of [long, short]) {
      const { firstMinuteDropKpa: drop } = holdTest(timeS, kpa, options);
      expect(Math.abs(drop!.value - 6)).toBeLessThan(3 * drop!.standardUncertainty);
      expect(drop!.standardUncertainty).toBeLessThan(0.3);
    }
  });

  it.each([
    ['a record without samples', [], [], 'no-record'],
    ['a part that was never pumped down', even(60, 0.1), even(600, 0).map(() => 99.8), 'not-pumped-down'],
    ['a record of a fifth of a second', even(10, 0.02), even(10, 0).map(() => 40), 'too-short'],
  ])('cannot tell from %s', (_what, timeS, kpa, reason) => {
    const result = holdTest(timeS as number[], kpa as number[], options);
    expect(result).toMatchObject({ verdict: 'cannot-tell', reason, chokedKpaPerS: null });
    expect(result.whatToDo).toMatch(/\.$/);
  });

  it('cannot tell from a few seconds in which the drop is inside noise and drift', () => {
    const { timeS, kpa } = holdVessel({
      seed: 8,
      durationS: 4,
      sampleRateHz: 50,
      baroKpa: BARO_KPA,
      startKpa: 40,
      chokedKpaPerS: 0.01,
      noiseKpa: 0.2,
      bits: 10,
    });
    expect(holdTest(timeS, kpa, options)).toMatchObject({
      verdict: 'cannot-tell',
      reason: 'inside-noise-or-drift',
      chokedKpaPerS: null,
    });
  });

  it('does not take a sensor that warms up for a leak', () => {
    const { timeS, kpa } = holdVessel({
      seed: 9,
      durationS: 60,
      sampleRateHz: 50,
      baroKpa: BARO_KPA,
      startKpa: 40,
      chokedKpaPerS: 0,
      driftKpaPerS: 0.15 / 60,
      noiseKpa: 0.1,
      bits: 10,
    });
    expect(holdTest(timeS, kpa, options)).toMatchObject({ verdict: 'not-found', chokedKpaPerS: null });
  });

  it('takes the limit from whoever gives it', () => {
    const record = pumpedByHand({ seed: 7, chokedKpaPerS: 0.05, holdS: 60 });
    const verdict = (dropKpa: number): string =>
      holdTest(record.timeS, record.kpa, { ...options, passLimit: { dropKpa, inS: 60 } }).verdict;
    expect(verdict(1)).toBe('found');
    expect(verdict(3)).toBe('cannot-tell');
    expect(verdict(6)).toBe('not-found');
  });

  it('tells a hole from a long narrow gap by the shape of the rise', () => {
    const times = even(1500, 0.02);
    const exponential = times.map((t) => BARO_KPA - 60 * Math.exp(-t / 12) + 0.1 * Math.sin(1e4 * t));
    const gap = holdTest(times, exponential, options);
    expect(gap.flow).toBe('laminar');
    expect(gap.timeConstantS!.value).toBeCloseTo(12, 0);
    const hole = holdVessel({
      seed: 2,
      durationS: 30,
      sampleRateHz: 50,
      baroKpa: BARO_KPA,
      startKpa: 40,
      chokedKpaPerS: 2,
      noiseKpa: 0.1,
    });
    expect(holdTest(hole.timeS, hole.kpa, options).flow).toBe('orifice');
  });

  it('finds the time constant of a small exponential leak: 40 to 36 kPa of vacuum in 10 s', () => {
    // Closed form: 10 / ln(40/36) = 94.912 s.
    const times = even(3000, 0.02);
    const kpa = times.map((t) => BARO_KPA - 40 * Math.exp(-t / 94.912));
    const result = holdTest(times, kpa, options);
    expect(result.flow).toBe('laminar');
    expect(result.timeConstantS!.value).toBeCloseTo(94.912, 1);
  });

  it('gives throughput, conductance and hole for an entered volume, with their uncertainties', () => {
    const volumeMl = { value: 50, standardUncertainty: 2.5 };
    // 50 ml rising 1 kPa in 60 s take up 50e-6 x 1000 / 60 = 8.333e-4 Pa m³/s: definition of the unit.
    const { timeS, kpa } = holdVessel({
      seed: 3,
      durationS: 600,
      sampleRateHz: 10,
      baroKpa: BARO_KPA,
      startKpa: 40,
      chokedKpaPerS: 1 / 60,
      noiseKpa: 0.05,
    });
    const slow = holdTest(timeS, kpa, { ...options, volumeMl, driftKpaPerMin: 0.01 });
    expect(slow.throughputPaM3PerS!.value).toBeCloseTo(8.333e-4, 5);
    expect(
      slow.throughputPaM3PerS!.standardUncertainty / slow.throughputPaM3PerS!.value,
    ).toBeGreaterThanOrEqual(0.05);
    const rise = chokedRiseKpaPerS(0.3, {
      volumeMl: 50,
      outsideKpa: BARO_KPA,
      temperatureK: 293.15,
      dischargeCoefficient: 0.6,
      heat: 'isothermal',
    });
    const quick = holdVessel({
      seed: 3,
      durationS: 3,
      sampleRateHz: 200,
      baroKpa: BARO_KPA,
      startKpa: 30,
      chokedKpaPerS: rise,
      noiseKpa: 0.05,
    });
    const hole = holdTest(quick.timeS, quick.kpa, { ...options, volumeMl });
    expect(hole.holeMm!.value).toBeCloseTo(0.3, 2);
    // Half of 5 % for the volume and of 5 % for the discharge coefficient, together.
    expect(hole.holeMm!.standardUncertainty).toBeCloseTo((0.3 * Math.hypot(0.05, 0.05)) / 2, 3);
  });

  it("takes the gauge's own leak off", () => {
    const record = pumpedByHand({ seed: 11, chokedKpaPerS: 0.2, holdS: 60 });
    const blank = { chokedKpaPerS: { value: 0.3, standardUncertainty: 0.003 }, volumeMl: 20 };
    const result = holdTest(record.timeS, record.kpa, {
      ...options,
      blank,
      volumeMl: { value: 60, standardUncertainty: 0 },
    });
    expect(result.chokedKpaPerS!.value).toBeCloseTo(0.1, 2);
  });
});

function even(count: number, stepS: number): number[] {
  return Array.from({ length: count }, (_, at) => at * stepS);
}
