import { SENSOR_HIGH_KPA, SENSOR_LOW_KPA } from './engine-spec.ts';
import { relativeFlow } from './orifice-flow.ts';
import { seededRandom } from './seeded-random.ts';

/** An accessory pumped down and left alone, with a gauge on it. */
export interface HoldSpec {
  readonly seed: number;
  readonly durationS: number;
  readonly sampleRateHz: number;
  readonly baroKpa: number;
  /** Absolute pressure when the pump is taken off [kPa]. */
  readonly startKpa: number;
  /** Rise of pressure while the leak is choked [kPa/s]; 0 is tight. */
  readonly chokedKpaPerS: number;
  /** The pump is still at work until this time [s]. Default 0. */
  readonly pumpedUntilS?: number;
  /** Slow drift of the sensor [kPa/s]. Default 0. */
  readonly driftKpaPerS?: number;
  readonly noiseKpa?: number;
  readonly bits?: number | null;
}

export interface HoldRecording {
  readonly spec: HoldSpec;
  readonly timeS: Float64Array;
  readonly kpa: Float64Array;
  /** True pressure at each row [kPa absolute]. */
  readonly cleanKpa: Float64Array;
}

const STEP_S = 0.001;

/** Air enters a rigid vessel through a small opening by the orifice law: a straight rise while choked, then rounding off. */
export function holdVessel(spec: HoldSpec): HoldRecording {
  const random = seededRandom(spec.seed, 61);
  const rows = Math.floor(spec.durationS * spec.sampleRateHz);
  const timeS = Float64Array.from({ length: rows }, (_, i) => i / spec.sampleRateHz);
  const cleanKpa = new Float64Array(rows);
  const top = spec.bits ? 2 ** spec.bits - 1 : 0;
  const countKpa = (SENSOR_HIGH_KPA - SENSOR_LOW_KPA) / top;
  let p = spec.startKpa;
  let atS = spec.pumpedUntilS ?? 0;
  const kpa = timeS.map((t, row) => {
    while (atS + STEP_S <= t) {
      const half = p + 0.5 * STEP_S * rise(p);
      p += STEP_S * rise(half);
      atS += STEP_S;
    }
    cleanKpa[row] = p;
    const heard = p + (spec.driftKpaPerS ?? 0) * t + (spec.noiseKpa ?? 0) * random.normal();
    return top > 0 ? SENSOR_LOW_KPA + Math.round((heard - SENSOR_LOW_KPA) / countKpa) * countKpa : heard;
  });
  return { spec, timeS, kpa, cleanKpa };

  function rise(kpaNow: number): number {
    return spec.chokedKpaPerS * relativeFlow(Math.min(kpaNow / spec.baroKpa, 1));
  }
}
