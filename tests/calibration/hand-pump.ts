/** A hand pump on a manifold with all hoses, and sensors with the errors that their data sheet allows. */
import { channelScale } from '../../calibration/counts-to-kpa.ts';
import { type PressureRecord, pressureRecord } from '../../calibration/pressure-record.ts';
import type { SensorType } from '../../calibration/sensor-type.ts';
import type { SeededRandom } from '../engines/seeded-random.ts';

/** A sensor with errors: what it reads is the true pressure plus these. */
export interface FaultySensor {
  readonly type: SensorType;
  /** Errors at the two ends of the range [kPa]; straight between them. */
  readonly errorLowKpa: number;
  readonly errorHighKpa: number;
  /** Largest departure from the straight line, in the middle of the range [kPa]. */
  readonly bowKpa: number;
  readonly noiseKpa: number;
}

export function randomSensor(type: SensorType, random: SeededRandom, noiseKpa: number): FaultySensor {
  const band = type.errorBandKpa;
  return {
    type,
    errorLowKpa: random.between(-band, band),
    errorHighKpa: random.between(-band, band),
    bowKpa: 0,
    noiseKpa,
  };
}

/** What the sensor makes of a true pressure, without noise and rounding, as pressure by its transfer function [kPa]. */
export function sensedKpa(
  { type, errorLowKpa, errorHighKpa, bowKpa }: FaultySensor,
  trueKpa: number,
): number {
  const place = (trueKpa - type.lowestKpa) / (type.highestKpa - type.lowestKpa);
  const bow = 4 * bowKpa * place * (1 - place);
  return trueKpa + errorLowKpa + (errorHighKpa - errorLowKpa) * place + bow;
}

/** The count that a converter makes of it. */
export function countOf(
  sensor: FaultySensor,
  trueKpa: number,
  fullScaleCounts: number,
  random: SeededRandom,
): number {
  const { transfer } = sensor.type;
  if (transfer.kind !== 'ratiometric') throw new TypeError('This bench has ratiometric sensors');
  const kpa = sensedKpa(sensor, trueKpa) + sensor.noiseKpa * random.normal();
  const share = Math.min(1, Math.max(0, transfer.perKpa * kpa + transfer.zero));
  return Math.round(share * fullScaleCounts);
}

export interface PumpRun {
  readonly sampleRateHz: number;
  readonly stepsKpa: readonly number[];
  readonly holdS: number;
  readonly moveS: number;
  /** Creep towards the air while holding [kPa/s]. */
  readonly leakKpaS: number;
  /** Trembling hand [kPa]. */
  readonly wobbleKpa: number;
}

export const USUAL_RUN: PumpRun = {
  sampleRateHz: 160,
  stepsKpa: [100, 80, 60, 45, 30, 55, 85],
  holdS: 3,
  moveS: 0.8,
  leakKpaS: 0.02,
  wobbleKpa: 0.05,
};

/** True pressure of the source along a run. */
export function sourceKpa(run: PumpRun, random: SeededRandom): Float64Array {
  const { sampleRateHz, stepsKpa, holdS, moveS } = run;
  const hold = Math.round(holdS * sampleRateHz);
  const move = Math.round(moveS * sampleRateHz);
  const path: number[] = [];
  const phase = random.between(0, 7);
  stepsKpa.forEach((step, index) => {
    for (let row = 0; row < hold; row++) {
      const t = row / sampleRateHz;
      path.push(step + run.leakKpaS * t + run.wobbleKpa * Math.sin(2 * Math.PI * 0.7 * t + phase));
    }
    const next = stepsKpa[index + 1];
    if (next === undefined) return;
    const from = path.at(-1)!;
    for (let row = 1; row <= move; row++) path.push(from + ((next - from) * row) / (move + 1));
  });
  return Float64Array.from(path);
}

export function recordOf(
  sensors: readonly FaultySensor[],
  trueKpa: ArrayLike<number> | ((channel: number, row: number) => number),
  rows: number,
  sampleRateHz: number,
  fullScaleCounts: number,
  random: SeededRandom,
): PressureRecord {
  const at = typeof trueKpa === 'function' ? trueKpa : (_: number, row: number) => trueKpa[row]!;
  const timeS = Float64Array.from({ length: rows }, (_, row) => row / sampleRateHz);
  const counts = sensors.map((sensor, channel) =>
    Float64Array.from({ length: rows }, (_, row) =>
      countOf(sensor, at(channel, row), fullScaleCounts, random),
    ),
  );
  const scales = sensors.map((sensor) => channelScale(sensor.type, fullScaleCounts));
  return pressureRecord(timeS, counts, scales, 101.325);
}

/** The whole matching record of a run. */
export function pumpRecord(
  sensors: readonly FaultySensor[],
  run: PumpRun,
  random: SeededRandom,
  fullScaleCounts = 1023,
): PressureRecord {
  const source = sourceKpa(run, random);
  return recordOf(sensors, source, source.length, run.sampleRateHz, fullScaleCounts, random);
}
