import { mean, standardDeviation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import {
  fromCounts,
  MPX4115A,
  PLAIN_TAP,
  PressureTap,
  type TapSettings,
  toCounts,
} from '../../../server/practice/pressure-tap.ts';
import { Random } from '../../../server/practice/random.ts';

const STEP_S = 0.000_25;

function tap(settings: Partial<TapSettings>, startPa = 0): PressureTap {
  return new PressureTap({ ...PLAIN_TAP, ...settings }, startPa, new Random(1));
}

/** Response to a pressure that ramps from 0 to 100 kPa within the first step and stays there. */
function stepResponse(settings: Partial<TapSettings>, seconds: number): number[] {
  const under = tap(settings);
  return Array.from({ length: Math.round(seconds / STEP_S) }, () => {
    under.step(100_000, 101_325, STEP_S);
    return under.pressurePa;
  });
}

describe('a hose', () => {
  it('passes the pressure on as it is when it has no lag', () => {
    expect(stepResponse({}, 0.001)).toEqual([100_000, 100_000, 100_000, 100_000]);
  });

  it('with a lag follows a step as 1 - exp(-t / lag)', () => {
    const lagS = 0.004;
    const response = stepResponse({ lagS }, 0.03);
    for (const at of [10, 20, 60]) {
      // The ramp of the first step is half a step late on average.
      const sinceS = (at + 0.5) * STEP_S;
      expect(response[at]! / 100_000).toBeCloseTo(1 - Math.exp(-sinceS / lagS), 3);
    }
  });

  it('with a lag follows a steady rise at a distance of rate x lag', () => {
    const under = tap({ lagS: 0.01 });
    let input = 0;
    for (let step = 0; step < 2_000; step++) {
      input += 50;
      under.step(input, 101_325, STEP_S);
    }
    expect(input - under.pressurePa).toBeCloseTo((50 / STEP_S) * 0.01, 6);
  });

  // Peak of a second-order low pass after a step: exp(-pi z / sqrt(1 - z²)) over, at pi / (w sqrt(1 - z²)); any
  // control engineering text.
  it.each([0.1, 0.3, 0.6])('that rings overshoots as its damping of %f says', (ringDamping) => {
    const response = stepResponse({ ringHz: 60, ringDamping }, 0.2);
    const peak = Math.max(...response);
    const root = Math.sqrt(1 - ringDamping ** 2);
    expect(peak / 100_000 - 1).toBeCloseTo(Math.exp((-Math.PI * ringDamping) / root), 2);
    expect(response.indexOf(peak) * STEP_S).toBeCloseTo(1 / (2 * 60 * root), 3);
    expect(response.at(-1)! / 100_000).toBeCloseTo(1, 2);
  });

  it('with a restrictor shrinks a fast pulse and keeps its mean', () => {
    const under = tap({ restrictorLagS: 0.5 }, 60_000);
    const seen: number[] = [];
    for (let step = 0; step < 80_000; step++) {
      under.step(60_000 + (Math.floor(step / 200) % 2 === 0 ? 20_000 : -20_000), 101_325, STEP_S);
      if (step >= 40_000) seen.push(under.pressurePa);
    }
    expect(Math.max(...seen) - Math.min(...seen)).toBeLessThan(2_100);
    expect(mean(seen) / 1000).toBeCloseTo(60, 1);
  });

  it('that is off reads barometric pressure, and the port again when it is put back', () => {
    const under = tap({ off: true }, 40_000);
    under.step(40_000, 101_325, STEP_S);
    expect(under.pressurePa).toBe(101_325);
    under.settings = { ...under.settings, off: false };
    under.step(40_000, 101_325, STEP_S);
    expect(under.pressurePa).toBe(40_000);
  });

  it('that is blocked keeps the pressure it had', () => {
    const under = tap({ blocked: true, lagS: 0.002 }, 55_000);
    for (let step = 0; step < 100; step++) under.step(30_000 + step * 500, 101_325, STEP_S);
    expect(under.pressurePa).toBe(55_000);
  });
});

describe('a sensor', () => {
  it('adds noise of the standard deviation asked for, and nothing to the mean', () => {
    const under = tap({ noiseKpa: 0.2 });
    const values = Array.from({ length: 40_000 }, () => under.sensorKpa(50_000));
    expect(mean(values)).toBeCloseTo(50, 2);
    expect(standardDeviation(values)).toBeCloseTo(0.2, 2);
  });

  it('is off by its gain and its offset', () => {
    expect(tap({ gain: 1.02, offsetKpa: -0.5 }).sensorKpa(50_000)).toBeCloseTo(50.5, 12);
  });

  // Motorola MPX4115A data sheet, transfer function with VS = 5.1 V: volts at pressures.
  it.each([
    [15, 0.204],
    [50, 1.8105],
    [100, 4.1055],
    [115, 4.794],
  ])('of the type MPX4115A gives at %f kPa the count of %f V of 5.1 V', (kpa, volts) => {
    expect(toCounts(kpa, MPX4115A, 1023)).toBe(Math.round((volts / 5.1) * 1023));
  });

  it('stops at the ends of the converter', () => {
    expect(toCounts(0, MPX4115A, 1023)).toBe(0);
    expect(toCounts(200, MPX4115A, 1023)).toBe(1023);
  });

  it('is read back within half a count, 0.054 kPa at 10 bits', () => {
    let worst = 0;
    for (let kpa = 15; kpa <= 115; kpa += 0.013) {
      worst = Math.max(worst, Math.abs(fromCounts(toCounts(kpa, MPX4115A, 1023), MPX4115A, 1023) - kpa));
    }
    expect(worst).toBeLessThanOrEqual(0.5 / 1023 / 0.009 + 1e-9);
    expect(worst).toBeGreaterThan(0.053);
  });
});
