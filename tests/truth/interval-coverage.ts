import type { EngineRecording } from '../engines/engine-recording.ts';
import { type Analyser, analyseRecording } from './analyse-recording-of.ts';

export interface Coverage {
  intervals: number;
  holding: number;
  /** Channels for which no interval was given. */
  withheld: number;
}

export interface IntervalCoverage {
  readonly mean: Coverage;
  readonly gap: Coverage;
}

/** Coverage factor of an expanded uncertainty (GUM, JCGM 100, 6.3.3). */
const COVERAGE_FACTOR = 2;

/**
 * How often the intervals hold the long-run truth, over independent runs of an engine whose cycles are correlated.
 *
 * @param longRunVacuumKpa the truth of each channel, when the engine itself does not know it
 */
export function intervalCoverage(
  analyser: Analyser,
  recordings: Iterable<EngineRecording>,
  longRunVacuumKpa?: readonly number[],
): IntervalCoverage {
  const mean: Coverage = { intervals: 0, holding: 0, withheld: 0 };
  const gap: Coverage = { intervals: 0, holding: 0, withheld: 0 };
  for (const recording of recordings) {
    const analysis = analyseRecording(analyser, recording);
    const truths = longRunVacuumKpa ?? recording.truth.longRunVacuumKpa.map(known);
    const meanOfAll = truths.reduce((a, b) => a + b, 0) / truths.length;
    truths.forEach((truthKpa, channel) => {
      const reading = analysis.cylinders[channel]!.vacuumKpa;
      tell(mean, reading && Math.abs(reading.mean - truthKpa) <= COVERAGE_FACTOR * reading.standardError);
      if (truths.length < 2) return;
      const given = analysis.gapsKpa[channel] ?? null;
      tell(gap, given && Math.abs(given.value - (truthKpa - meanOfAll)) <= given.expandedUncertainty);
    });
  }
  return { mean, gap };
}

function tell(coverage: Coverage, holds: boolean | null): void {
  if (holds === null) {
    coverage.withheld++;
    return;
  }
  coverage.intervals++;
  if (holds) coverage.holding++;
}

function known(kpa: number | null): number {
  if (kpa === null) throw new Error('This engine does not know its long-run mean: give it');
  return kpa;
}

export function heldShare(coverage: Coverage): number {
  return coverage.holding / coverage.intervals;
}
