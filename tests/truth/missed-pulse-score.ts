import type { EngineTruth } from '../engines/engine-truth.ts';
import type { Analysis } from './analyser.ts';

export interface DetectionCount {
  found: number;
  falseAlarms: number;
  overlooked: number;
}

/** Reported against true missed pulses, one to one, a pair never more than half a cycle apart. */
export function missedPulseScore(
  analysis: Analysis,
  truth: EngineTruth,
  channels: readonly number[],
): DetectionCount {
  const count = { found: 0, falseAlarms: 0, overlooked: 0 };
  for (const channel of channels) {
    const reported = [...analysis.cylinders[channel]!.missedPulsesS].sort((a, b) => a - b);
    const actual = Array.from(truth.missedPulsesS[channel]!).sort((a, b) => a - b);
    let r = 0;
    let a = 0;
    while (r < reported.length && a < actual.length) {
      const apartS = reported[r]! - actual[a]!;
      const reachS = 0.5 * truth.cycleLengthFrom(actual[a]!);
      if (Math.abs(apartS) <= reachS) {
        count.found++;
        r++;
        a++;
      } else if (apartS < 0) {
        count.falseAlarms++;
        r++;
      } else {
        count.overlooked++;
        a++;
      }
    }
    count.falseAlarms += reported.length - r;
    count.overlooked += actual.length - a;
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
