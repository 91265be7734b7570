import { expect, it } from 'vitest';
import { holdVessel } from './hold-vessel.ts';
import { CRITICAL_RATIO, relativeFlow } from './orifice-flow.ts';

it('flows as handbook tables of isentropic air say: choked below 0.5283, then falling', () => {
  // Flow function of air over its choked value, ratio of specific heats 1.4: computed from the formula in
  // Heywood, Internal Combustion Engine Fundamentals, appendix C (formula from memory).
  expect(CRITICAL_RATIO).toBeCloseTo(0.52828, 5);
  const choked = 0.68473;
  for (const [ratio, flow] of [
    [0.3, 0.68473],
    [0.6, 0.67692],
    [0.7, 0.63832],
    [0.8, 0.56066],
    [0.9, 0.42258],
    [0.95, 0.30764],
  ] as const) {
    expect(relativeFlow(ratio)).toBeCloseTo(flow / choked, 4);
  }
  expect(relativeFlow(1)).toBe(0);
});

it('rises straight while choked, then rounds off', () => {
  const { kpa, timeS } = holdVessel({
    seed: 1,
    durationS: 40,
    sampleRateHz: 20,
    baroKpa: 100,
    startKpa: 30,
    chokedKpaPerS: 2,
  });
  const at = (t: number): number => kpa[timeS.findIndex((x) => x >= t)]!;
  expect(at(5)).toBeCloseTo(40, 2);
  expect(at(10)).toBeCloseTo(50, 2);
  expect(at(25) - at(20)).toBeLessThan(10);
  // Dimensionless leak-up from 0.3 to 0.9 of the outside takes 0.350368/0.121942 times as long as from 0.3 to 0.5283
  // (integrated from the same formula by an independent program).
  const chokedS = (52.828 - 30) / 2;
  expect(at(chokedS * (0.350368 / 0.121942))).toBeCloseTo(90, 0);
});

it('holds when tight, and stays down while the pump works', () => {
  const tight = holdVessel({
    seed: 1,
    durationS: 20,
    sampleRateHz: 10,
    baroKpa: 100,
    startKpa: 40,
    chokedKpaPerS: 0,
  });
  expect(tight.kpa.every((p) => p === 40)).toBe(true);
  const pumped = holdVessel({
    seed: 1,
    durationS: 20,
    sampleRateHz: 10,
    baroKpa: 100,
    startKpa: 40,
    chokedKpaPerS: 1,
    pumpedUntilS: 5,
  });
  expect(pumped.kpa[45]).toBe(40);
  expect(pumped.kpa[150]).toBeCloseTo(50, 1);
});
