import type { HoldRecording } from '../engines/hold-vessel.ts';
import type { SpotScenario } from '../engines/spot-scenario.ts';
import type { AnalyseOptions } from './analyser.ts';
import { addError, type ErrorTally, errorTally } from './error-tally.ts';

export type SpotVerdict = 'leak' | 'no-leak' | 'not-sure';

/** What is judged of the leak tests. */
export interface LeakTester {
  /** One verdict for each spot, from the whole recording and the times at which each was wetted. */
  spotVerdicts(
    timeS: Float64Array,
    kpa: readonly Float64Array[],
    options: AnalyseOptions,
    spots: readonly { readonly startS: number; readonly endS: number }[],
  ): readonly SpotVerdict[];
  /** Rise of pressure while the leak is choked, or would be [kPa/s]; null: cannot tell. */
  holdKpaPerS(timeS: Float64Array, kpa: Float64Array, baroKpa: number): number | null;
}

export interface SpotCount {
  sound: number;
  falseAlarms: number;
  leaking: number;
  detected: number;
  notSure: number;
}

export function spotCount(): SpotCount {
  return { sound: 0, falseAlarms: 0, leaking: 0, detected: 0, notSure: 0 };
}

export function judgeSpots(into: SpotCount, { spots }: SpotScenario, verdicts: readonly SpotVerdict[]): void {
  if (verdicts.length !== spots.length) {
    throw new Error(`${spots.length} spots were wetted and ${verdicts.length} verdicts given`);
  }
  spots.forEach((spot, i) => {
    if (verdicts[i] === 'not-sure') into.notSure++;
    if (spot.effect === 'none') {
      into.sound++;
      if (verdicts[i] === 'leak') into.falseAlarms++;
    } else {
      into.leaking++;
      if (verdicts[i] === 'leak') into.detected++;
    }
  });
}

export interface HoldFigures {
  /** Of the conductances that were told [%]. */
  readonly percent: ErrorTally;
  told: number;
  withheld: number;
}

export function holdFigures(): HoldFigures {
  return { percent: errorTally(), told: 0, withheld: 0 };
}

export function judgeHold(into: HoldFigures, { spec }: HoldRecording, estimate: number | null): void {
  if (estimate === null) {
    into.withheld++;
    return;
  }
  into.told++;
  addError(into.percent, 100 * (estimate / spec.chokedKpaPerS - 1));
}
