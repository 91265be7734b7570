import type { EngineRecording } from '../engines/engine-recording.ts';
import type { Analysis } from './analyser.ts';

/** What may be bent in an otherwise perfect analysis, each a mistake that the judges must see. */
export interface Mistakes {
  /** Every second cycle boundary left out, or one put in between. */
  readonly lengthFactor?: number;
  /** Added to each cycle mean [kPa]. */
  readonly meanOffsetKpa?: number;
  /** Speed of each cycle is off by this, up and down in turn [%]. */
  readonly speedErrorPercent?: number;
  /** Every n-th missed pulse is not reported. */
  readonly overlookEvery?: number;
  /** Missed pulses that there are not, per channel. */
  readonly inventMissed?: number;
  /** Only the first of this share of the cycles is reported. */
  readonly reportShare?: number;
  readonly uncertaintyFactor?: number;
}

/** An analysis made from the truth itself, perfect but for the mistakes asked for. */
export function oracleAnalysis({ truth, kpa }: EngineRecording, mistakes: Mistakes = {}): Analysis {
  const factor = mistakes.lengthFactor ?? 1;
  const share = mistakes.reportShare ?? 1;
  const windows = truth.cycleStartsS.map((starts) => {
    const list: { startS: number; endS: number }[] = [];
    const step = Math.max(1, Math.round(factor));
    for (let k = 0; k + step < starts.length * share; k += step) {
      const startS = starts[k]!;
      const endS = starts[k + step]!;
      const parts = factor < 1 ? Math.round(1 / factor) : 1;
      for (let p = 0; p < parts; p++) {
        const piece = (endS - startS) / parts;
        list.push({ startS: startS + p * piece, endS: startS + (p + 1) * piece });
      }
    }
    return list;
  });
  const wrong = (mistakes.speedErrorPercent ?? 0) / 100;
  const cylinders = kpa.map((_, channel) => {
    const cycleTable = windows[channel]!.map(({ startS, endS }) => ({
      startS,
      endS,
      meanVacuumKpa: truth.meanVacuumKpa(channel, startS, endS) + (mistakes.meanOffsetKpa ?? 0),
      peakVacuumKpa: Number.NaN,
      pulseDepthKpa: truth.depthKpa(channel, startS, endS),
    }));
    const every = mistakes.overlookEvery ?? Number.POSITIVE_INFINITY;
    const missed = Array.from(truth.missedPulsesS[channel]!).filter((_t, i) => (i + 1) % every !== 0);
    for (let i = 0; i < (mistakes.inventMissed ?? 0); i++) missed.push(2 + i * 0.3);
    const means = cycleTable.map((row) => row.meanVacuumKpa);
    const mean = means.reduce((a, b) => a + b, 0) / means.length;
    const sd = Math.sqrt(means.reduce((a, b) => a + (b - mean) ** 2, 0) / (means.length - 1));
    const standardError = ((mistakes.uncertaintyFactor ?? 1) * sd) / Math.sqrt(means.length);
    return { cycleTable, vacuumKpa: { mean, sd, standardError }, missedPulsesS: missed, state: 'ok' };
  });
  const level = cylinders.reduce((sum, c) => sum + c.vacuumKpa.mean, 0) / cylinders.length;
  const n = cylinders.length;
  const variances = cylinders.map((c) => c.vacuumKpa.standardError ** 2);
  const allVariance = variances.reduce((a, b) => a + b, 0) / (n * n);
  return {
    cylinders,
    engineCycles: windows[0]!.map(({ startS, endS }, i) => ({
      startS,
      endS: startS + (endS - startS) * (1 + (i % 2 === 0 ? wrong : -wrong)),
    })),
    gapsKpa: cylinders.map((c, i) => ({
      value: c.vacuumKpa.mean - level,
      // Independent cylinders: own share (1 - 1/n), the others' 1/n each.
      expandedUncertainty: 2 * Math.sqrt(variances[i]! * (1 - 2 / n) + allVariance),
    })),
  };
}
