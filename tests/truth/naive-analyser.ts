import type { EngineSetup } from '../../server/signal/engine-setup.ts';
import type { CylinderReading, Reading } from '../../server/signal/reading.ts';
import type { AnalyseOptions, Analyser, Analysis, CycleRow, LiveMeter } from './analyser.ts';

/**
 * A deliberately simple instrument, against which the judges themselves are tested: lowest points between crossings
 * of the middle, and a moving average of one second. It knows no spikes, no harmonics, no other cylinder.
 */
export const naiveAnalyser: Analyser = { analyse, live };

function analyse(timeS: Float64Array, kpa: readonly Float64Array[], options: AnalyseOptions): Analysis {
  const cylinders = kpa.map((channel, i) => {
    const lows = everyNth(lowestPoints(timeS, channel), options.pulsesPerCycle?.[i] ?? 1);
    const cycleTable = lows
      .slice(1)
      .map((end, k) => cycleRow(timeS, channel, lows[k]!, end, options.baroKpa));
    const lengths = cycleTable.map((row) => row.endS - row.startS).sort((a, b) => a - b);
    const typicalS = lengths[lengths.length >> 1] ?? 0;
    const means = cycleTable.map((row) => row.meanVacuumKpa);
    return {
      cycleTable,
      vacuumKpa: means.length < 2 ? null : plainMean(means),
      missedPulsesS: cycleTable
        .filter((row) => row.endS - row.startS > 1.5 * typicalS)
        .map((row) => row.startS + typicalS),
      state: cycleTable.length > 0 ? 'ok' : 'no-pulse',
    };
  });
  const known = cylinders.map((c) => c.vacuumKpa);
  const level = known.reduce((sum, v) => sum + (v?.mean ?? 0), 0) / known.filter(Boolean).length;
  const busiest = cylinders.reduce((a, b) => (b.cycleTable.length > a.cycleTable.length ? b : a));
  return {
    cylinders,
    engineCycles: busiest.cycleTable.map(({ startS, endS }) => ({ startS, endS })),
    gapsKpa: known.map((v) => v && { value: v.mean - level, expandedUncertainty: 2 * v.standardError }),
  };
}

/** Rows of the lowest sample of each stretch below the middle of the range. */
function lowestPoints(timeS: Float64Array, kpa: Float64Array): number[] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const value of kpa) {
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  if (high - low < 3) return [];
  const enterBelow = low + 0.45 * (high - low);
  const leaveAbove = low + 0.6 * (high - low);
  const points: number[] = [];
  let lowest = -1;
  for (let i = 0; i < timeS.length; i++) {
    const value = kpa[i]!;
    if (lowest < 0 && value < enterBelow) lowest = i;
    else if (lowest >= 0 && value < kpa[lowest]!) lowest = i;
    if (lowest >= 0 && value > leaveAbove) {
      points.push(lowest);
      lowest = -1;
    }
  }
  return points;
}

function everyNth(points: readonly number[], n: number): number[] {
  return points.filter((_, i) => i % n === 0);
}

function cycleRow(
  timeS: Float64Array,
  kpa: Float64Array,
  from: number,
  to: number,
  baroKpa: number,
): CycleRow {
  let area = 0;
  let low = kpa[from]!;
  let high = low;
  for (let i = from + 1; i <= to; i++) {
    area += 0.5 * (kpa[i]! + kpa[i - 1]!) * (timeS[i]! - timeS[i - 1]!);
    low = Math.min(low, kpa[i]!);
    high = Math.max(high, kpa[i]!);
  }
  const startS = timeS[from]!;
  const endS = timeS[to]!;
  return {
    startS,
    endS,
    meanVacuumKpa: baroKpa - area / (endS - startS),
    peakVacuumKpa: baroKpa - low,
    pulseDepthKpa: high - low,
  };
}

/** Takes cycles for independent of each other, which they are not. */
function plainMean(means: readonly number[]): { mean: number; sd: number; standardError: number } {
  const mean = means.reduce((a, b) => a + b, 0) / means.length;
  const sd = Math.sqrt(means.reduce((a, b) => a + (b - mean) ** 2, 0) / (means.length - 1));
  return { mean, sd, standardError: sd / Math.sqrt(means.length) };
}

const WINDOW_S = 1;
const STILL_KPA = 0.4;

function live(setup: EngineSetup): LiveMeter {
  const times: number[] = [];
  const rows: number[][] = [];
  const earlier: number[][] = [];
  let first = 0;
  const sums = Array.from({ length: setup.cylinders }, () => 0);
  const averages = (): number[] => sums.map((sum) => setup.barometricKpa - sum / (times.length - first));
  return {
    push(timeS, kpaRow) {
      times.push(timeS);
      rows.push(Array.from(kpaRow));
      for (let i = 0; i < sums.length; i++) sums[i]! += kpaRow[i]!;
      while (timeS - times[first]! >= WINDOW_S) {
        for (let i = 0; i < sums.length; i++) sums[i]! -= rows[first]![i]!;
        rows[first++] = [];
      }
    },
    reading() {
      if (times.length === 0) return readingOf(setup, null, [], []);
      const now = averages();
      earlier.push(now);
      const before = earlier[Math.max(0, earlier.length - 10)]!;
      return readingOf(setup, times.at(-1)!, now, before);
    },
  };
}

function readingOf(setup: EngineSetup, timeS: number | null, now: number[], before: number[]): Reading {
  const level = now.reduce((a, b) => a + b, 0) / now.length;
  const cylinders = Array.from({ length: setup.cylinders }, (_, i): CylinderReading => {
    const vacuumKpa = now[i] ?? null;
    const still = vacuumKpa !== null && Math.abs(vacuumKpa - before[i]!) < STILL_KPA;
    return {
      sensor: 'ok',
      vacuumKpa,
      vacuumSdKpa: null,
      vacuumStandardErrorKpa: null,
      vacuumExpandedKpa: null,
      gapKpa: vacuumKpa === null ? null : vacuumKpa - level,
      gapExpandedKpa: null,
      verdict: 'not-sure',
      settling: still ? 'steady' : 'moving',
      lastCycleKpa: vacuumKpa,
      peakVacuumKpa: null,
      pulseDepthKpa: null,
      cycles: 0,
      missedPulsesPerMinute: null,
    };
  });
  return {
    timeS,
    engine: { running: true, speedRpm: null, idleRpm: null, cycles: 0 },
    cylinders,
    spreadKpa: now.length > 0 ? Math.max(...now) - Math.min(...now) : null,
    spreadExpandedKpa: null,
    settling: cylinders.every((c) => c.settling === 'steady') ? 'steady' : 'moving',
    verdict: 'not-sure',
    cyclesNeeded: null,
    swappedHoses: null,
    roughness: {
      score: null,
      cycleLengthCovPercent: null,
      choppinessPercent: null,
      hunting: null,
      perCylinder: cylinders.map(() => ({
        depthCovPercent: null,
        missedPerMinute: null,
        lowestNormalisedCycle: null,
      })),
    },
  };
}
