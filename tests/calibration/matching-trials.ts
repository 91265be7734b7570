/** Matching against known truth, many times over. */
import { type BoardCalibration, uncalibratedBoard } from '../../calibration/board-calibration.ts';
import { withMatching } from '../../calibration/calibrate-board.ts';
import { matchChannels } from '../../calibration/matching.ts';
import { BAND_SHARE_PER_K, differenceUncertainty } from '../../calibration/reading-uncertainty.ts';
import { MPX4115A } from '../../calibration/sensor-types.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { type FaultySensor, pumpRecord, randomSensor, sensedKpa, USUAL_RUN } from './hand-pump.ts';

export interface MatchingTrial {
  readonly seed: number;
  /** Corrected less true difference of two channels, one of them at a true pressure within 30…60 kPa. */
  readonly errorKpa: number;
  readonly expandedKpa: number;
  /** The same difference without calibration. */
  readonly uncorrectedKpa: number;
}

const TEMPERATURE_C = 25;

export interface TrialBench {
  readonly channels: number;
  readonly bowKpa: number;
  readonly leastNoiseKpa: number;
  readonly mostNoiseKpa: number;
  /** The two cylinders differ in truth by up to so much [kPa]. */
  readonly gapKpa: number;
  /** Temperature now less that at the matching; each sensor then errs by its own share of what is assumed [K]. */
  readonly warmerK: number;
}

export const PLAIN_BENCH: TrialBench = {
  channels: 4,
  bowKpa: 0,
  leastNoiseKpa: 0.02,
  mostNoiseKpa: 0.3,
  gapKpa: 0,
  warmerK: 0,
};

/** @throws Error when a matching is refused */
export function matchingTrial(seed: number, bench: TrialBench = PLAIN_BENCH): MatchingTrial {
  const random = seededRandom(seed, 77);
  const noiseKpa = random.between(bench.leastNoiseKpa, bench.mostNoiseKpa);
  const sensors = Array.from({ length: bench.channels }, () => ({
    ...randomSensor(MPX4115A, random, noiseKpa),
    bowKpa: random.between(-bench.bowKpa, bench.bowKpa),
  }));
  const run = {
    ...USUAL_RUN,
    stepsKpa: USUAL_RUN.stepsKpa.slice(0, 5 + random.index(3)).map((step) => step + random.between(-4, 4)),
    holdS: random.between(2.6, 4),
    leakKpaS: random.between(0, 0.06),
    wobbleKpa: random.between(0, 0.08),
  };
  const matching = matchChannels(pumpRecord(sensors, run, random));
  if (!matching.ok) throw new Error(`seed ${seed}: ${matching.code}, ${matching.detail}`);
  const types = sensors.map(({ type }) => type);
  const board = withMatching(uncalibratedBoard('BENCH', types, 101.325), matching, types, 101.325, {
    atMs: 0,
    technician: null,
    temperatureCelsius: TEMPERATURE_C,
    expiresAtMs: null,
  });
  const trueKpa = random.between(30, 60);
  const gapKpa = random.between(-bench.gapKpa, bench.gapKpa);
  const first = random.index(bench.channels);
  const second = (first + 1 + random.index(bench.channels - 1)) % bench.channels;
  const read = sensors.map((sensor, channel) => {
    const warmth = bench.warmerK * MPX4115A.errorBandKpa * BAND_SHARE_PER_K * random.between(-1, 1);
    return corrected(board, channel, sensor, channel === first ? trueKpa + gapKpa : trueKpa) + warmth;
  });
  const conditions = { types, temperatureCelsius: TEMPERATURE_C + bench.warmerK };
  return {
    seed,
    errorKpa: read[first]! - read[second]! - gapKpa,
    expandedKpa: 2 * differenceUncertainty(board, first, second, read, conditions),
    uncorrectedKpa:
      sensedKpa(sensors[first]!, trueKpa + gapKpa) - sensedKpa(sensors[second]!, trueKpa) - gapKpa,
  };
}

export function corrected(
  board: BoardCalibration,
  channel: number,
  sensor: FaultySensor,
  trueKpa: number,
): number {
  const { gain, offsetKpa } = board.channels[channel]!;
  return gain * sensedKpa(sensor, trueKpa) + offsetKpa;
}
