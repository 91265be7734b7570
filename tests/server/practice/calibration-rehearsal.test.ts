import { describe, expect, test } from 'vitest';
import { MPX4115A } from '../../../calibration/sensor-types.ts';
import { MAX_VESSEL_VACUUM_KPA } from '../../../server/contract/practice.ts';
import { BOUGHT_SENSORS } from '../../../server/practice/bought-sensors.ts';
import { PracticeBench } from '../../../server/practice/practice-bench.ts';
import { applyPatch, panelState, patchRefusal } from '../../../server/practice/practice-panel.ts';

const bench = () => new PracticeBench({ layout: 'flat-six', fullScaleCounts: null, ambientKpa: 100 });

function mean(of: PracticeBench, fromS: number, toS: number): number[] {
  of.advance(fromS);
  const frames = of.advance(toS);
  return frames[0]!.kpa.map((_, cyl) => frames.reduce((sum, { kpa }) => sum + kpa[cyl]!, 0) / frames.length);
}

describe('all hoses on one vessel', () => {
  test('read one pressure while the engine runs on, and follow the hand pump step by step', () => {
    const own = bench();
    for (const [at, vacuumKpa] of [0, 20, 60, 35].entries()) {
      applyPatch(own, { vesselVacuumKpa: vacuumKpa });
      const kpa = mean(own, 3 * at + 2.5, 3 * at + 3);
      for (const channel of kpa) expect(channel).toBeCloseTo(100 - vacuumKpa, 1);
      expect(panelState(own)).toMatchObject({ vesselVacuumKpa: vacuumKpa, running: true });
    }
    applyPatch(own, { vesselVacuumKpa: null });
    own.advance(13);
    const pulses = own.advance(14).map(({ kpa }) => kpa[0]!);
    expect(Math.max(...pulses) - Math.min(...pulses)).toBeGreaterThan(10);
  });

  test('pulls no more than a hand pump can', () => {
    const own = bench();
    expect(patchRefusal({ vesselVacuumKpa: MAX_VESSEL_VACUUM_KPA + 1 }, own.layout)).toMatch(/vessel/i);
    expect(patchRefusal({ vesselVacuumKpa: null }, own.layout)).toBeNull();
    expect(() => {
      own.vessel.vacuumKpa = -1;
    }).toThrow(RangeError);
  });
});

describe('sensors as bought', () => {
  test('are off by no more than the error band of their data sheet, each in its own way', () => {
    for (const { gain, offsetKpa } of BOUGHT_SENSORS)
      for (const kpa of [MPX4115A.lowestKpa, 60, MPX4115A.highestKpa])
        expect(Math.abs((gain - 1) * kpa + offsetKpa)).toBeLessThanOrEqual(MPX4115A.errorBandKpa);
    expect(new Set(BOUGHT_SENSORS.map(({ offsetKpa }) => offsetKpa)).size).toBe(BOUGHT_SENSORS.length);
  });

  test('show it on the vessel, and read the truth again when they are exact', () => {
    const own = bench();
    applyPatch(own, { sensors: 'as-bought', vesselVacuumKpa: 60 });
    const off = mean(own, 2.5, 3);
    for (const [cyl, kpa] of off.entries()) {
      const { gain, offsetKpa } = BOUGHT_SENSORS[cyl]!;
      expect(kpa).toBeCloseTo(40 * gain + offsetKpa, 1);
    }
    applyPatch(own, { sensors: 'exact' });
    for (const kpa of mean(own, 3.2, 3.5)) expect(kpa).toBeCloseTo(40, 1);
  });
});
