import type { CleanRun } from './clean-run.ts';
import { indexAtOrBelow } from './clean-run.ts';
import type { EngineSpec } from './engine-spec.ts';
import { SENSOR_HIGH_KPA, SENSOR_LOW_KPA } from './engine-spec.ts';
import type { SeededRandom } from './seeded-random.ts';

export interface SampledRows {
  /** Time stamp of each row [s], rising. */
  readonly timeS: Float64Array;
  /** Pressure [kPa absolute] by channel, then row. */
  readonly kpa: Float64Array[];
}

const DEFAULT_SPIKE_KPA = 40;

/** What a cheap board makes of a clean run: rows of rounded, noisy, skewed samples with holes in them. */
export function sampled(run: CleanRun, spec: EngineSpec, random: SeededRandom): SampledRows {
  const trueTimeS = rowTimes(spec);
  const noiseSd = spec.noiseKpa ?? 0;
  const top = spec.bits ? 2 ** spec.bits - 1 : 0;
  const stepKpa = (SENSOR_HIGH_KPA - SENSOR_LOW_KPA) / top;
  const spikeChance = (spec.spikesPerS ?? 0) / spec.sampleRateHz;
  const spikeKpa = spec.spikeKpa ?? DEFAULT_SPIKE_KPA;
  const kpa = run.kpa.map((clean, channel) => {
    const out = new Float64Array(trueTimeS.length);
    const skewS = channel * (spec.skewS ?? 0);
    const dead = (spec.faults ?? []).filter((f) => f.channel === channel && isElectrical(f.kind));
    for (let row = 0; row < out.length; row++) {
      const position = (trueTimeS[row]! + skewS - run.startS) / run.stepS;
      const i = Math.floor(position);
      const a = clean[i]!;
      let value = a + (position - i) * (clean[i + 1]! - a);
      if (noiseSd > 0) value += noiseSd * random.normal();
      if (spikeChance > 0 && random.uniform() < spikeChance) {
        value += (random.uniform() < 0.5 ? -1 : 1) * spikeKpa * random.between(0.3, 1);
      }
      for (const fault of dead) {
        if (trueTimeS[row]! >= fault.fromS) value = fault.kind === 'dead' ? SENSOR_LOW_KPA : SENSOR_HIGH_KPA;
      }
      if (top > 0) {
        const count = Math.min(Math.max(Math.round((value - SENSOR_LOW_KPA) / stepKpa), 0), top);
        value = SENSOR_LOW_KPA + count * stepKpa;
      }
      out[row] = value;
    }
    return out;
  });
  return { timeS: stamped(trueTimeS, spec.stampJitterS ?? 0, random), kpa };
}

function isElectrical(kind: string): boolean {
  return kind === 'dead' || kind === 'saturated';
}

function rowTimes(spec: EngineSpec): Float64Array {
  const rows = Math.floor(spec.durationS * spec.sampleRateHz);
  const all = Float64Array.from({ length: rows }, (_, i) => i / spec.sampleRateHz);
  const gaps = spec.gaps ?? [];
  return gaps.length === 0 ? all : all.filter((t) => !gaps.some((g) => t >= g.atS && t < g.atS + g.lengthS));
}

function stamped(trueTimeS: Float64Array, jitterS: number, random: SeededRandom): Float64Array {
  if (jitterS === 0) return trueTimeS;
  const stamps = trueTimeS.map((t) => t + jitterS * random.normal());
  return stamps.sort();
}

/** Hoses that fall off or are blocked change what the sensor sees from that moment on. Works in place. */
export function applyHoseFaults(run: CleanRun, spec: EngineSpec): void {
  for (const fault of spec.faults ?? []) {
    const kpa = run.kpa[fault.channel]!;
    const from = Math.max(0, Math.ceil((fault.fromS - run.startS) / run.stepS));
    if (fault.kind === 'off') kpa.fill(run.baroKpa, from);
    if (fault.kind === 'blocked') kpa.fill(meanBefore(kpa, from, run), from);
  }
}

function meanBefore(kpa: Float64Array, from: number, run: CleanRun): number {
  const start = Math.max(0, indexAtOrBelow(run.angleDeg, run.angleDeg[from]! - run.cycleDeg));
  if (from <= start) return kpa[from]!;
  let sum = 0;
  for (let i = start; i < from; i++) sum += kpa[i]!;
  return sum / (from - start);
}
