import { describe, expect, it } from 'vitest';
import { flow, GasVolume } from '../../../server/practice/gas-volume.ts';
import { AIR_GAS_CONSTANT, flowFactor } from '../../../server/practice/orifice.ts';

describe('GasVolume', () => {
  it('holds the mass of a perfect gas', () => {
    // Air at 101.325 kPa and 15 °C weighs 1.225 kg/m³ (ISO 2533).
    expect(GasVolume.closed(101_325, 288.15, 1, 1.4).kg).toBeCloseTo(1.225, 4);
  });

  it('is compressed along p V^g, with the work that takes', () => {
    const gas = GasVolume.closed(100_000, 300, 400e-6, 1.4);
    let work = 0;
    for (let step = 1; step <= 2_000; step++) work += gas.expandTo(400e-6 * (1 - (0.9 * step) / 2_000));
    expect(gas.pressurePa / 100_000).toBeCloseTo(10 ** 1.4, 3);
    expect(gas.temperatureK / 300).toBeCloseTo(10 ** 0.4, 4);
    // Work of an adiabatic: (p1 V1 - p2 V2) / (g - 1); any text of thermodynamics.
    expect(work).toBeCloseTo((100_000 * 400e-6 * (1 - 10 ** 0.4)) / 0.4, 2);
  });

  it('ends at 1.4 times the outside temperature when it is filled from empty without loss of heat', () => {
    // The classic of charging an evacuated tank: T = g T0; any text of thermodynamics.
    const outside = GasVolume.open(100_000, 300, 0);
    const tank = GasVolume.closed(1, 300, 1e-3, 1.4);
    for (let step = 0; step < 200_000; step++) flow(1e-6, outside, tank, 1e-4);
    expect(tank.pressurePa).toBeCloseTo(100_000, 0);
    expect(tank.temperatureK).toBeCloseTo(420, 1);
  });

  it('is filled 1.4 times faster than an isothermal vessel while choked', () => {
    const outside = GasVolume.open(101_325, 293.15, 0);
    const vessel = GasVolume.closed(20_000, 293.15, 50e-6, 1.4);
    const area = 0.6 * (Math.PI / 4) * 1e-6;
    const before = vessel.pressurePa;
    for (let step = 0; step < 100; step++) flow(area, outside, vessel, 1e-4);
    const tau = 50e-6 / (area * Math.sqrt(AIR_GAS_CONSTANT * 293.15));
    const isothermalPa = (101_325 * flowFactor(0) * 0.01) / tau;
    expect((vessel.pressurePa - before) / isothermalPa).toBeCloseTo(1.4, 9);
  });

  it('warms and cools towards its wall', () => {
    const gas = GasVolume.closed(80_000, 300, 1e-3, 1.4);
    gas.relax(400, 0.5);
    expect(gas.temperatureK).toBeCloseTo(350, 9);
    expect(gas.pressurePa).toBeCloseTo((80_000 * 350) / 300, 6);
  });

  it('rises by (g - 1) x heat / volume', () => {
    const gas = GasVolume.closed(100_000, 300, 1e-3, 1.33);
    gas.heat(100);
    expect(gas.pressurePa).toBeCloseTo(133_000, 6);
  });
});

describe('flow', () => {
  it('keeps the mass and the internal energy of two vessels', () => {
    const a = GasVolume.closed(90_000, 320, 300e-6, 1.4);
    const b = GasVolume.closed(40_000, 700, 150e-6, 1.4);
    b.burntKg = 0.4 * b.kg;
    const mass = a.kg + b.kg;
    const burnt = a.burntKg + b.burntKg;
    const energy = a.pressurePa * a.volumeM3 + b.pressurePa * b.volumeM3;
    for (let step = 0; step < 3_000; step++) flow(5e-6, a, b, 1e-4);
    expect(a.kg + b.kg).toBeCloseTo(mass, 15);
    expect(a.burntKg + b.burntKg).toBeCloseTo(burnt, 15);
    expect(a.pressurePa * a.volumeM3 + b.pressurePa * b.volumeM3).toBeCloseTo(energy, 9);
    expect(a.pressurePa).toBeCloseTo(b.pressurePa, -1);
  });

  it('through a wide opening makes pressures equal and does not overshoot', () => {
    const a = GasVolume.closed(90_000, 320, 300e-6, 1.4);
    const b = GasVolume.closed(40_000, 320, 20e-6, 1.4);
    flow(1e-2, a, b, 1e-3);
    expect(a.pressurePa).toBeCloseTo(b.pressurePa, 6);
    expect(a.pressurePa).toBeLessThan(90_000);
    flow(1e-2, a, b, 1e-3);
    expect(a.pressurePa).toBeCloseTo(b.pressurePa, 6);
  });

  it('takes the mixture of the side that it comes from', () => {
    const fresh = GasVolume.closed(90_000, 320, 1e-3, 1.4);
    const exhaust = GasVolume.open(102_000, 850, 1);
    flow(1e-5, fresh, exhaust, 1e-3);
    expect(fresh.burntShare).toBeGreaterThan(0);
    expect(fresh.burntKg).toBeCloseTo(-exhaust.kg, 15);
    expect(exhaust.burntShare).toBe(1);
  });
});
