import { describe, expect, it } from 'vitest';
import {
  CHOKED_FACTOR,
  CRITICAL_RATIO,
  chokedRiseKpaPerS,
  equivalentHoleMm,
  fillingCoordinate,
  flowFactor,
  leakUpKpa,
  leakUpTimeS,
  orificeTimeConstantS,
  ratioAtCoordinate,
} from '../../../../server/signal/leak/orifice-leak.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';

const vessel = {
  volumeMl: 50,
  outsideKpa: 101.325,
  temperatureK: 293.15,
  dischargeCoefficient: 0.6,
  heat: 'isothermal',
} as const;

describe('flow of air through a small hole', () => {
  it('is choked at the published critical ratio and factor of air', () => {
    // (2/2.4)^3.5 and the choked flow factor of a perfect gas with ratio of specific heats 1.4: any gas dynamics table.
    expect(CRITICAL_RATIO).toBeCloseTo(0.528281788, 9);
    expect(CHOKED_FACTOR).toBeCloseTo(0.684731456, 9);
    expect(flowFactor(0.1)).toBe(CHOKED_FACTOR);
  });

  it.each([
    [0.95, 0.30764],
    [0.9, 0.42258],
    [0.8, 0.56066],
    [0.7, 0.63832],
    [0.6, 0.67692],
    [0.55, 0.68402],
  ])('has the flow factor that an independent program gives at a ratio of %f', (ratio, factor) => {
    expect(flowFactor(ratio)).toBeCloseTo(factor, 5);
  });

  it('agrees with the mass flow by Mach number', () => {
    // mdot = A pt/sqrt(Tt) sqrt(g/R) M (1 + M² (g-1)/2)^-((g+1)/(2(g-1))): NASA Glenn, 'Mass flow choking'.
    for (const mach of [0.1, 0.3, 0.5, 0.8, 0.99]) {
      const grown = 1 + 0.2 * mach * mach;
      expect(flowFactor(grown ** -3.5)).toBeCloseTo(Math.sqrt(1.4) * mach * grown ** -3, 10);
    }
  });
});

describe('leak-up of a closed volume', () => {
  it('takes the times that an independent program integrates for a 1 mm hole in 50 ml', () => {
    const tauS = orificeTimeConstantS(50, 1, 0.6, 293.15);
    expect(tauS).toBeCloseTo(0.365766, 6);
    const rise = chokedRiseKpaPerS(1, vessel);
    const outside = vessel.outsideKpa;
    const time = (to: number): number => leakUpTimeS(0.3 * outside, to * outside, rise, outside);
    expect(time(CRITICAL_RATIO)).toBeCloseTo(0.121942, 6);
    expect(time(0.9)).toBeCloseTo(0.350368, 5);
    expect(time(0.99)).toBeCloseTo(0.465194, 5);
  });

  it.each([11, 12, 13, 14, 15])(
    'follows the law when it is integrated step by step as a balance of mass (seed %i)',
    (seed) => {
      const random = seededRandom(seed);
      const outside = random.between(85, 105);
      const start = random.between(10, 70);
      const holeMm = random.between(0.05, 1.5);
      const volumeM3 = random.between(10e-6, 300e-6);
      const kelvin = random.between(270, 320);
      const rise = chokedRiseKpaPerS(holeMm, {
        ...vessel,
        volumeMl: volumeM3 * 1e6,
        outsideKpa: outside,
        temperatureK: kelvin,
      });
      // Fourth-order Runge-Kutta on the mass in the vessel, flow by Mach number: another form of the same law.
      const gas = 287.05287;
      const area = (0.6 * Math.PI * (holeMm * 1e-3) ** 2) / 4;
      const flow = (kg: number): number => {
        const ratio = Math.min(1, (kg * gas * kelvin) / volumeM3 / (outside * 1000));
        const mach = Math.min(1, Math.sqrt(5 * Math.max(0, ratio ** (-1 / 3.5) - 1)));
        return (
          ((area * outside * 1000) / Math.sqrt(kelvin)) *
          Math.sqrt(1.4 / gas) *
          mach *
          (1 + 0.2 * mach * mach) ** -3
        );
      };
      const endS = leakUpTimeS(start, 0.97 * outside, rise, outside);
      let kg = (start * 1000 * volumeM3) / (gas * kelvin);
      const steps = 4000;
      const h = endS / steps;
      for (let i = 0; i < steps; i++) {
        const k1 = flow(kg);
        const k2 = flow(kg + 0.5 * h * k1);
        const k3 = flow(kg + 0.5 * h * k2);
        const k4 = flow(kg + h * k3);
        kg += (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
        if (i === steps / 2 - 1)
          expect((kg * gas * kelvin) / volumeM3 / 1000).toBeCloseTo(
            leakUpKpa(start, rise, endS / 2, outside),
            3,
          );
      }
      expect((kg * gas * kelvin) / volumeM3 / 1000).toBeCloseTo(0.97 * outside, 3);
    },
  );

  it('is 1.4 times as quick without heat from the wall, and reaches balance and stays there', () => {
    expect(chokedRiseKpaPerS(1, { ...vessel, heat: 'adiabatic' })).toBeCloseTo(
      1.4 * chokedRiseKpaPerS(1, vessel),
      9,
    );
    expect(leakUpKpa(40, 20, 1e6, 100)).toBe(100);
    expect(leakUpTimeS(40, 50, 0, 100)).toBe(Number.POSITIVE_INFINITY);
  });

  it('turns a rise back into the hole that makes it, and a coordinate back into its ratio', () => {
    for (const hole of [0.01, 0.1, 0.5, 2])
      expect(equivalentHoleMm(chokedRiseKpaPerS(hole, vessel), vessel)).toBeCloseTo(hole, 9);
    for (const ratio of [0, 0.2, 0.52, 0.53, 0.7, 0.9, 0.999])
      expect(ratioAtCoordinate(fillingCoordinate(ratio))).toBeCloseTo(ratio, 9);
  });
});
