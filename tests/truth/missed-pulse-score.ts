import type { EngineTruth } from '../engines/engine-truth.ts';
import type { Analysis } from './analyser.ts';

export interface DetectionCount {
  found: number;
  falseAlarms: number;
  overlooked: number;
}

/**
 * Reported against true missed pulses, one to one, a pair never more than half a cycle apart. Cycles that the recording
 * cuts off, at its first and last, count neither way.
 */
export function missedPulseScore(
  analysis: Analysis,
  truth: EngineTruth,
  channels: readonly number[],
): DetectionCount {
  const count = { found: 0, falseAlarms: 0, overlooked: 0 };
  const fromS = truth.cycleLengthFrom(0);
  const toS = truth.timeAtAngleDeg(truth.angleDegAt(truth.durationS) - truth.cycleDeg);
  const counts = (timeS: number): number => (timeS >= fromS && timeS <= toS ? 1 : 0);
  for (const channel of channels) {
    const reported = [...analysis.cylinders[channel]!.missedPulsesS].sort((a, b) => a - b);
    const actual = Array.from(truth.missedPulsesS[channel]!).sort((a, b) => a - b);
    let r = 0;
    let a = 0;
    while (r < reported.length || a < actual.length) {
      const apartS = (reported[r] ?? Number.POSITIVE_INFINITY) - (actual[a] ?? Number.POSITIVE_INFINITY);
      if (a < actual.length && Math.abs(apartS) <= 0.5 * truth.cycleLengthFrom(actual[a]!)) {
        count.found += counts(actual[a++]!);
        r++;
      } else if (apartS < 0) count.falseAlarms += counts(reported[r++]!);
      else count.overlooked += counts(actual[a++]!);
    }
  }
  return count;
}

export function addCounts(into: DetectionCount, from: DetectionCount): void {
  into.found += from.found;
  into.falseAlarms += from.falseAlarms;
  into.overlooked += from.overlooked;
}

/** Harmonic mean of precision and recall; 1 when there was nothing to find and nothing was claimed. */
export function f1Score({ found, falseAlarms, overlooked }: DetectionCount): number {
  const total = 2 * found + falseAlarms + overlooked;
  return total === 0 ? 1 : (2 * found) / total;
}
