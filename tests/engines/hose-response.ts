import type { EngineSpec, HoseSpec } from './engine-spec.ts';

export function hoseOf(spec: EngineSpec, channel: number): HoseSpec {
  const hose = spec.hose;
  if (!hose) return {};
  return Array.isArray(hose) ? (hose[channel] ?? {}) : (hose as HoseSpec);
}

/** Pressure at the sensor's end of a hose: ringing first, then lag, then a restrictor. Works in place. */
export function throughHose(kpa: Float64Array, stepS: number, cycleS: number, hose: HoseSpec): void {
  if (hose.ringHz) ring(kpa, stepS, hose.ringHz, hose.ringDamping ?? 0.2);
  if (hose.lagS) lag(kpa, stepS, hose.lagS);
  if (hose.restrictedToKpa) {
    const cycle = Math.round(cycleS / stepS);
    const { mean, depth } = firstCycles(kpa, 8 * cycle);
    // A ramp-like pulse of depth D through a long lag leaves about D T / (8 tau).
    lag(kpa, stepS, (depth * cycleS) / 8 / hose.restrictedToKpa, mean);
  }
}

function lag(kpa: Float64Array, stepS: number, lagS: number, from = kpa[0]!): void {
  const keep = Math.exp(-stepS / lagS);
  let level = from;
  for (let i = 0; i < kpa.length; i++) {
    level = kpa[i]! + (level - kpa[i]!) * keep;
    kpa[i] = level;
  }
}

function ring(kpa: Float64Array, stepS: number, naturalHz: number, damping: number): void {
  const omega = 2 * Math.PI * naturalHz;
  let level = kpa[0]!;
  let slope = 0;
  for (let i = 0; i < kpa.length; i++) {
    // Semi-implicit steps stay stable for every grid finer than the ringing.
    slope += stepS * (omega * omega * (kpa[i]! - level) - 2 * damping * omega * slope);
    level += stepS * slope;
    kpa[i] = level;
  }
}

function firstCycles(kpa: Float64Array, points: number): { mean: number; depth: number } {
  let sum = 0;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  const n = Math.min(points, kpa.length);
  for (let i = 0; i < n; i++) {
    const value = kpa[i]!;
    sum += value;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  return { mean: sum / n, depth: high - low };
}
