import { describe, expect, test } from 'vitest';
import { defaultEngineSetup } from '../../../server/signal/engine-setup.ts';
import { Instrument } from '../../../server/signal/instrument.ts';
import { LostRows } from '../../../server/signal/lost-rows.ts';
import { refillEngine } from '../../engines/refill-engine.ts';
import { seededRandom } from '../../engines/seeded-random.ts';

const NOTHING = [Number.NaN, Number.NaN];
const SOME = [60, Number.NaN];
const ROW_S = 0.004;

function feed(rows: LostRows, fromS: number, forS: number, isLost: (row: number) => boolean): boolean[] {
  return Array.from({ length: Math.round(forS / ROW_S) }, (_, row) =>
    rows.push(fromS + row * ROW_S, isLost(row) ? NOTHING : SOME),
  );
}

describe('LostRows', () => {
  test('half of the rows may be lost, and a hole of a quarter second', () => {
    const rows = new LostRows();
    expect(feed(rows, 0, 3, (row) => row % 2 === 0)).not.toContain(false);
    expect(feed(rows, 3, 1, () => false)).not.toContain(false);
    expect(feed(rows, 4, 0.25, () => true)).not.toContain(false);
  });

  test('where hardly any row arrives nothing is measured, until most do again', () => {
    const rows = new LostRows();
    feed(rows, 0, 1, () => false);
    const torn = feed(rows, 1, 1, (row) => row % 10 !== 0);
    expect(torn.lastIndexOf(true) * ROW_S).toBeLessThan(0.5);
    const after = feed(rows, 2, 1, () => false);
    expect(after[0]).toBe(false);
    expect(after.indexOf(true) * ROW_S).toBeGreaterThan(0.1);
    expect(after.indexOf(true) * ROW_S).toBeLessThan(0.35);
    expect(after.lastIndexOf(false)).toBeLessThan(after.indexOf(true));
  });

  test('a break forgets the loss', () => {
    const rows = new LostRows();
    feed(rows, 0, 2, () => true);
    expect(rows.usable).toBe(false);
    rows.forget();
    expect(rows.usable).toBe(true);
  });
});

describe('an instrument to which hardly any sample comes (seed 4)', () => {
  const recording = refillEngine({
    seed: 4,
    durationS: 12,
    sampleRateHz: 250,
    intakeAnglesDeg: [0, 360],
    rpm: 950,
    cycleScatter: 0.008,
    depthScatter: 0.02,
    noiseKpa: 0.15,
  });

  test('shows nothing rather than a wrong speed, and is right within a second afterwards', () => {
    const random = seededRandom(4, 1);
    const instrument = new Instrument(defaultEngineSetup(2));
    let shownWhileTorn = 0;
    for (let row = 0; row < recording.timeS.length; row++) {
      const timeS = recording.timeS[row]!;
      const torn = timeS >= 4 && timeS < 9;
      instrument.push(
        timeS,
        torn && random.uniform() < 0.93 ? NOTHING : recording.kpa.map((kpa) => kpa[row]!),
      );
      const { speedRpm } = instrument.reading().engine;
      if (timeS > 4.6 && torn && speedRpm !== null) shownWhileTorn++;
      if (timeS > 3.9 && timeS < 4) expect(speedRpm).toBeGreaterThan(900);
      if (timeS > 10) expect(speedRpm).toBeGreaterThan(900);
      if (timeS > 10) expect(speedRpm).toBeLessThan(1_000);
    }
    expect(shownWhileTorn).toBe(0);
  });
});

describe('an instrument whose board was away while the engine got another speed (seed 5)', () => {
  test('shows no speed, depth or peak from before', () => {
    const slow = refillEngine({
      seed: 5,
      durationS: 4,
      sampleRateHz: 250,
      intakeAnglesDeg: [0, 360],
      rpm: 950,
    });
    const quick = refillEngine({
      seed: 5,
      durationS: 3,
      sampleRateHz: 250,
      intakeAnglesDeg: [0, 360],
      rpm: 1_300,
    });
    const instrument = new Instrument(defaultEngineSetup(2));
    for (let row = 0; row < slow.timeS.length; row++)
      instrument.push(
        slow.timeS[row]!,
        slow.kpa.map((kpa) => kpa[row]!),
      );
    expect(instrument.reading().engine.speedRpm).toBeLessThan(1_000);
    instrument.breakInSamples();
    const speeds = new Set<number | null>();
    for (let row = 0; row < quick.timeS.length; row++) {
      instrument.push(
        10 + quick.timeS[row]!,
        quick.kpa.map((kpa) => kpa[row]!),
      );
      const { engine, roughness, cylinders } = instrument.reading();
      for (const rpm of [engine.speedRpm, engine.idleRpm]) speeds.add(rpm);
      if (engine.speedRpm === null) {
        expect(cylinders[0]!.pulseDepthKpa).toBeNull();
        expect(roughness.cycleLengthCovPercent).toBeNull();
      }
    }
    const shown = [...speeds].filter((rpm) => rpm !== null);
    expect(shown.length).toBeGreaterThan(10);
    for (const rpm of shown) expect(Math.abs(rpm - 1_300)).toBeLessThan(40);
  });
});

describe('an instrument that misses 40 ms every third cycle (seed 6)', () => {
  // Cylinders far apart: a mean over other cylinders would be another reference by kilopascals.
  const openings = [1, 0.8, 1.25, 0.9];
  const recording = refillEngine({
    seed: 6,
    durationS: 10,
    sampleRateHz: 250,
    intakeAnglesDeg: [0, 540, 180, 360],
    rpm: 1_130,
    opening: openings,
    cycleScatter: 0.008,
    depthScatter: 0.02,
    noiseKpa: 0.15,
  });
  const { truth } = recording;
  const vacuums = openings.map((_, cyl) => truth.meanVacuumKpa(cyl, 0.5, 9.5));
  const mean = vacuums.reduce((sum, kpa) => sum + kpa, 0) / vacuums.length;

  test('compares with the mean of all cylinders or not at all', () => {
    // Such a hole takes the cycle from two cylinders and the one before from the two others.
    const isLost = (timeS: number) => timeS > 2 && timeS % 0.35 < 0.04;
    const instrument = new Instrument(defaultEngineSetup(4));
    const nothing = openings.map(() => Number.NaN);
    let worstKpa = 0;
    let shown = 0;
    for (let row = 0; row < recording.timeS.length; row++) {
      instrument.push(
        recording.timeS[row]!,
        isLost(recording.timeS[row]!) ? nothing : recording.kpa.map((kpa) => kpa[row]!),
      );
      if (row % 10 !== 0) continue;
      instrument.reading().cylinders.forEach(({ gapKpa }, cyl) => {
        if (gapKpa === null) return;
        shown++;
        worstKpa = Math.max(worstKpa, Math.abs(gapKpa - (vacuums[cyl]! - mean)));
      });
    }
    expect(shown).toBeGreaterThan(400);
    // Single cycles scatter by 0.4 kPa; the mean of two cylinders is another than that of four by 3.5 kPa.
    expect(worstKpa).toBeLessThan(1.5);
  });
});
