import { describe, expect, it } from 'vitest';
import type { Analysis, CycleRow } from '../../server/signal/recording-analysis.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { cases } from '../truth/grid.ts';
import { figuresApart } from './figures-apart.ts';
import { analysed, inOtherChannels, toldRecording } from './told-recording.ts';

/**
 * What must not depend on where time and pressure are counted from, on the unit, or on the order of the channels.
 * Rows at binary fractions of a second, so that moving them does not round them.
 */
const SEED = 20_077;
const CASES = cases(8, SEED, {
  maxRpm: 3000,
  minCylinders: 2,
  minSamplesPerCycle: 12,
  sampleRatesHz: [256, 512, 1024],
}).map((one, index) => {
  const recording = one.engine({ ...one.spec, durationS: 3 });
  const told = toldRecording(recording);
  return { label: one.label, told, before: analysed(told), random: seededRandom(SEED, index) };
});
/** Rounding of sums in another order; a figure that depends on the origin or the unit differs by far more. */
const ROUNDING = { absolute: 1e-6, relative: 1e-6 };

describe.each(CASES)('$label', ({ told, before, random }) => {
  it('is an engine that is followed', () => {
    expect(before.engineCycles).toBeGreaterThan(8);
  });

  it('the same recording at another time of day gives the same figures', () => {
    const shiftS = random.index(100_000);
    const after = analysed({ ...told, timeS: told.timeS.map((timeS) => timeS + shiftS) });
    expect(figuresApart(before, earlier(after, shiftS), ROUNDING)).toEqual([]);
  });

  it('all pressures and the barometer higher by as much: the same vacuum, gaps, speed and roughness', () => {
    const moreKpa = random.between(-10, 10);
    const after = analysed({
      ...told,
      kpa: told.kpa.map((column) => column.map((kpa) => kpa + moreKpa)),
      setup: { ...told.setup, barometricKpa: told.setup.barometricKpa + moreKpa },
    });
    expect(figuresApart(before, after, ROUNDING)).toEqual([]);
  });

  it('all pressures 1.25 times: pressures 1.25 times, every time and speed and ratio as before', () => {
    const after = analysed({
      ...told,
      kpa: told.kpa.map((column) => column.map((kpa) => 1.25 * kpa)),
      setup: { ...told.setup, barometricKpa: 1.25 * told.setup.barometricKpa },
    });
    expect(figuresApart(before, pressuresOver(after, 1.25), ROUNDING)).toEqual([]);
  });

  it('hoses on other channels: the same cycles on those channels', () => {
    const places = shuffled(told.kpa.length, random.index);
    const after = analysed(inOtherChannels(told, places));
    // Which cylinder's cycles lead is the channels' order, so the last whole cycle may be another one, and
    // with it the figures over all cycles; each cylinder's own cycles are the same.
    places.forEach((place, channel) => {
      const own = before.cylinders[place]!;
      const moved = after.cylinders[channel]!;
      expect(moved.state).toBe(own.state);
      const { shared, alone, apart } = matched(own.cycleTable, moved.cycleTable);
      expect(apart).toEqual([]);
      expect(alone).toBeLessThanOrEqual(2);
      expect(shared).toBeGreaterThan(5);
      const gap = before.gapsKpa[place];
      const movedGap = after.gapsKpa[channel];
      expect(movedGap === null).toBe(gap === null);
      if (gap && movedGap)
        expect(Math.abs(gap.value - movedGap.value)).toBeLessThan(gap.expandedUncertainty!);
    });
    expect(after.idleRpm!.mean / before.idleRpm!.mean).toBeCloseTo(1, 2);
  });
});

function earlier(analysis: Analysis, shiftS: number): Analysis {
  const back = <T extends { startS: number; endS: number }>(row: T): T => ({
    ...row,
    startS: row.startS - shiftS,
    endS: row.endS - shiftS,
  });
  return {
    ...analysis,
    engineCycleTable: analysis.engineCycleTable.map(back),
    cylinders: analysis.cylinders.map((one) => ({
      ...one,
      missedPulsesS: one.missedPulsesS?.map((timeS) => timeS - shiftS) ?? null,
      cycleTable: one.cycleTable.map(back),
    })),
  };
}

function pressuresOver(analysis: Analysis, factor: number): Analysis {
  const over = (kpa: number | null): number | null => kpa && kpa / factor;
  const overGap = <T extends { value: number; expandedUncertainty: number | null }>(
    gap: T | null,
  ): T | null =>
    gap && { ...gap, value: gap.value / factor, expandedUncertainty: over(gap.expandedUncertainty) };
  return {
    ...analysis,
    cylinders: analysis.cylinders.map((one) => ({
      ...one,
      vacuumKpa: one.vacuumKpa && {
        ...one.vacuumKpa,
        mean: one.vacuumKpa.mean / factor,
        sd: over(one.vacuumKpa.sd),
        standardError: over(one.vacuumKpa.standardError),
      },
      peakVacuumKpa: over(one.peakVacuumKpa),
      pulseDepthKpa: over(one.pulseDepthKpa),
      cycleTable: one.cycleTable.map((row) => ({
        ...row,
        meanVacuumKpa: over(row.meanVacuumKpa),
        peakVacuumKpa: over(row.peakVacuumKpa),
        pulseDepthKpa: over(row.pulseDepthKpa),
      })),
    })),
    gapsKpa: analysis.gapsKpa.map(overGap),
    spreadKpa: overGap(analysis.spreadKpa),
  };
}

const SAME_START_S = 0.001;

/** Pulses are learned from a stretch that the leading channel begins, so fits may differ by a small part of the noise. */
function matched(one: readonly CycleRow[], other: readonly CycleRow[]) {
  const apart: string[] = [];
  let shared = 0;
  for (const row of one) {
    const same = other.find((candidate) => Math.abs(candidate.startS - row.startS) < SAME_START_S);
    if (!same) continue;
    shared++;
    const { meanVacuumKpa: mean, ...rest } = row;
    const { meanVacuumKpa: otherMean, ...otherRest } = same;
    apart.push(...figuresApart({ mean }, { mean: otherMean }, { absolute: 0.01 }));
    apart.push(...figuresApart(rest, otherRest, { absolute: 0.1 }));
  }
  return { shared, apart, alone: one.length + other.length - 2 * shared };
}

function shuffled(count: number, index: (count: number) => number): number[] {
  const places = Array.from({ length: count }, (_, place) => place);
  for (let last = count - 1; last > 0; last--) {
    const other = index(last + 1);
    [places[last], places[other]] = [places[other]!, places[last]!];
  }
  return places;
}
