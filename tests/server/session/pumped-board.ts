import { uncalibratedBoard } from '../../../calibration/board-calibration.ts';
import { MPX4115A } from '../../../calibration/sensor-types.ts';
import type { DeskBoard } from '../../../server/session/calibration-recording.ts';
import {
  countOf,
  type FaultySensor,
  type PumpRun,
  randomSensor,
  sourceKpa,
  USUAL_RUN,
} from '../../calibration/hand-pump.ts';
import { type SeededRandom, seededRandom } from '../../engines/seeded-random.ts';

export const FULL_SCALE = 1023;
const CLOCK_HZ = 1_000_000;

/** A board whose hoses hang on a hand pump: samples as the session hands them on. */
export class PumpedBoard {
  readonly random: SeededRandom;
  readonly sensors: FaultySensor[];
  readonly sampleRateHz = 160;
  timeTicks = 5_000;

  constructor(seed: number, channels = 3) {
    this.random = seededRandom(seed, 77);
    this.sensors = Array.from({ length: channels }, () => randomSensor(MPX4115A, this.random, 0.1));
  }

  board(boardId = 'bench-1'): DeskBoard {
    const types = this.sensors.map(({ type }) => type);
    return {
      boardId,
      practice: false,
      types,
      fullScaleCounts: FULL_SCALE,
      clockRateHz: CLOCK_HZ,
      before: uncalibratedBoard(boardId, types, 101),
    };
  }

  /** @param trueKpa at each hose, one number for all or one per channel */
  still(trueKpa: number | readonly number[], lengthS: number): Sample[] {
    return Array.from({ length: Math.round(lengthS * this.sampleRateHz) }, () => this.#sample(trueKpa));
  }

  pump(
    run: Partial<PumpRun> = {},
    change: (kpa: number, channel: number) => number = (kpa) => kpa,
  ): Sample[] {
    const whole = { ...USUAL_RUN, sampleRateHz: this.sampleRateHz, ...run };
    return Array.from(sourceKpa(whole, this.random), (kpa) =>
      this.#sample(this.sensors.map((_, channel) => change(kpa, channel))),
    );
  }

  #sample(trueKpa: number | readonly number[]): Sample {
    this.timeTicks += CLOCK_HZ / this.sampleRateHz;
    const counts = this.sensors.map((sensor, channel) =>
      countOf(sensor, typeof trueKpa === 'number' ? trueKpa : trueKpa[channel]!, FULL_SCALE, this.random),
    );
    return { timeTicks: this.timeTicks, counts };
  }
}

export interface Sample {
  readonly timeTicks: number;
  readonly counts: number[];
}
