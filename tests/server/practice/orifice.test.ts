import { describe, expect, it } from 'vitest';
import {
  AIR_GAS_CONSTANT,
  airFlowFactor,
  criticalPressureRatio,
  flowFactor,
  orificeMassFlow,
} from '../../../server/practice/orifice.ts';

describe('flow through an orifice', () => {
  // Closed forms for a ratio of specific heats of 1.4, recomputed in double precision; Heywood (1988), appendix C.
  it('is choked below the critical pressure ratio of air, 0.52828', () => {
    expect(criticalPressureRatio(1.4)).toBeCloseTo(0.5282817878, 9);
    expect(flowFactor(0.5282817878)).toBeCloseTo(0.6847314564, 9);
    expect(flowFactor(0.3)).toBe(flowFactor(0));
    expect(flowFactor(0.3)).toBeCloseTo(0.6847314564, 10);
  });

  it('carries 0.0404147 A p0 / sqrt(T0) when choked', () => {
    const factor = (orificeMassFlow(1, 101_325, 300, 20_000, 300) * Math.sqrt(300)) / 101_325;
    expect(factor).toBeCloseTo(0.0404147, 7);
  });

  it.each([
    [0.95, 0.30764],
    [0.9, 0.42258],
    [0.8, 0.56066],
    [0.7, 0.63832],
    [0.6, 0.67692],
    [0.55, 0.68402],
  ])('has the flow factor of the closed form at a pressure ratio of %f', (ratio, factor) => {
    expect(flowFactor(ratio)).toBeCloseTo(factor, 5);
  });

  // NASA Glenn, "Mass flow choking", www.grc.nasa.gov/WWW/K-12/airplane/mflchk.html: another form of the same
  // flow, by Mach number.
  it('agrees with the mass flow by Mach number', () => {
    for (let ratio = 0.53; ratio < 0.998; ratio += 0.013) {
      const mach = Math.sqrt(5 * (ratio ** (-0.4 / 1.4) - 1));
      const byMach = Math.sqrt(1.4) * mach * (1 + 0.2 * mach * mach) ** -3;
      expect(flowFactor(ratio)).toBeCloseTo(byMach, 10);
    }
  });

  it('agrees with its table for air to 1e-7 at every pressure ratio', () => {
    let worst = 0;
    for (let step = 0; step <= 200_000; step++) {
      const ratio = step / 200_000;
      worst = Math.max(worst, Math.abs(airFlowFactor(ratio) - flowFactor(ratio)));
    }
    expect(worst).toBeLessThan(1e-7);
  });

  // Cengel & Boles, Thermodynamics, chapter 17, "Effect of back pressure on mass flow rate" (from memory, hence
  // ±0.5 %): air at 1 MPa, 600 °C and 150 m/s, so 1.045 MPa and 884 K at rest, into a nozzle of 50 cm² throat.
  it.each([
    [700_000, 6.77],
    [400_000, 7.1],
  ])('gives the textbook nozzle at a back pressure of %i Pa', (backPa, expectedKgS) => {
    const flow = orificeMassFlow(50e-4, 1.045e6, 884, backPa, 884);
    expect(Math.abs(flow / expectedKgS - 1)).toBeLessThan(0.005);
  });

  it('is the same in both directions and nothing at balance', () => {
    expect(orificeMassFlow(1e-6, 90_000, 300, 60_000, 400)).toBeCloseTo(
      -orificeMassFlow(1e-6, 60_000, 400, 90_000, 300),
      15,
    );
    expect(orificeMassFlow(1e-6, 90_000, 300, 90_000, 400)).toBe(0);
  });

  it('goes to zero in a straight line near balance, where the closed form has an infinite slope', () => {
    const half = flowFactor(1 - 0.0005);
    expect(flowFactor(1 - 0.00025)).toBeCloseTo(half / 2, 12);
    expect(flowFactor(1)).toBe(0);
    expect(flowFactor(1.2)).toBe(0);
  });

  describe('filling a rigid vessel of 50 ml through a hole of 1 mm, isothermal', () => {
    const area = 0.6 * (Math.PI / 4) * 1e-6;
    const volume = 50e-6;
    const kelvin = 293.15;
    const tau = volume / (area * Math.sqrt(AIR_GAS_CONSTANT * kelvin));
    const fillTime = (to: number) => {
      const stepS = 1e-5;
      let pressure = 0.3 * 101_325;
      let timeS = 0;
      while (pressure < to * 101_325) {
        const rise =
          ((AIR_GAS_CONSTANT * kelvin) / volume) * orificeMassFlow(area, 101_325, kelvin, pressure, kelvin);
        pressure += rise * stepS;
        timeS += stepS;
      }
      return timeS;
    };

    // t = tau (r2 - r1) / phi* while choked; the rest by numerical integration in another program.
    it('has a time constant of 0.365766 s', () => expect(tau).toBeCloseTo(0.365766, 6));
    it.each([
      [0.5282817878, 0.121942],
      [0.9, 0.350368],
      [0.99, 0.465194],
    ])('rises from 0.3 to %f of the outside pressure in %f s', (to, seconds) => {
      expect(fillTime(to)).toBeCloseTo(seconds, 4);
    });
  });
});
