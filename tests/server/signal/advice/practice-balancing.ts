import { engineParameters } from '../../../../server/practice/engine-parameters.ts';
import { PracticeBench } from '../../../../server/practice/practice-bench.ts';
import { defaultEngineSetup } from '../../../../server/signal/engine-setup.ts';
import { Instrument } from '../../../../server/signal/instrument.ts';
import type { Reading } from '../../../../server/signal/reading.ts';
import type { BalancingEngine } from './balancing-engine.ts';

export interface PracticeBalancingOptions {
  readonly layout: string;
  readonly seed: number;
  /** Throttles out of adjustment [turns of the idle screw]. */
  readonly mismatchTurns: readonly number[];
  readonly reference: number | 'mean';
  readonly toleranceKpa: number;
}

/** Truth is the mean over this long after the screws were turned last and the speed has settled [s]. */
const TRUTH_S = 8;
const SETTLE_S = 2;

/** The simulated engine with hoses, noisy sensors and a 10-bit converter, behind the instrument. */
export function practiceBalancing(options: PracticeBalancingOptions): BalancingEngine {
  const { layout, seed, mismatchTurns, reference, toleranceKpa } = options;
  const bench = new PracticeBench({
    layout,
    seed,
    historyS: TRUTH_S + SETTLE_S,
    taps: { noiseKpa: 0.15, lagS: 0.002 },
    conversionS: 0.0001,
    controls: { mismatchTurns: [...mismatchTurns] },
  });
  const { cylinders } = bench;
  const { idleAreaM2, fullAreaM2 } = engineParameters(bench.layout, bench.ambientKpa);
  const instrument = new Instrument(
    { ...defaultEngineSetup(cylinders), reference, toleranceKpa },
    { channelDelaysS: Array.from({ length: cylinders }, (_, cyl) => cyl * bench.conversionS) },
  );
  let turnedS = 0;
  const advance = (durationS: number): Reading => {
    for (const { timeS, kpa } of bench.advance(bench.timeS + durationS)) instrument.push(timeS, kpa);
    return instrument.reading();
  };
  return {
    cylinders,
    get timeS() {
      return bench.timeS;
    },
    advance,
    turn(screw, turns) {
      bench.controls.balanceTurns[screw]! += turns;
      turnedS = bench.timeS;
    },
    turnIdleScrew(turns) {
      bench.controls.idleTurns += turns;
      turnedS = bench.timeS;
    },
    hold(opening) {
      // The area of the plate goes with the opening to the power of one and a half.
      bench.throttle = ((opening * idleAreaM2) / fullAreaM2) ** (2 / 3);
      turnedS = bench.timeS;
    },
    blip() {
      bench.blip(0.02);
      turnedS = bench.timeS;
    },
    get trueRpm() {
      const cycles = bench.trueCycles.filter(({ endS }) => endS > bench.timeS - 1);
      return 120 / (cycles.reduce((sum, { startS, endS }) => sum + endS - startS, 0) / cycles.length);
    },
    trueGapsKpa() {
      const dueS = turnedS + SETTLE_S + TRUTH_S;
      if (bench.timeS < dueS) advance(dueS - bench.timeS);
      const vacuum = Array.from({ length: cylinders }, (_, cyl) => {
        // Whole cycles, or a part of a pulse would be in it.
        const own = bench.trueCycles.filter(
          (cycle) => cycle.cyl === cyl && cycle.startS >= bench.timeS - TRUTH_S,
        );
        return -bench.truthMeanKpa(cyl, own[0]!.startS, own.at(-1)!.endS);
      });
      const mean = vacuum.reduce((sum, value) => sum + value, 0) / cylinders;
      return vacuum.map((value) => value - mean);
    },
  };
}
