/**
 * Made manifold pressure as 10-bit counts: each cylinder's pressure falls during its intake and refills towards the
 * barometric pressure, with combustion scatter, speed wander and sensor noise. Written apart from the
 * program's own practice engine.
 */
import type { SampleChunk } from '../../../server/jobs/capture-store.ts';

export interface ManifoldSignalOptions {
  readonly seed: number;
  readonly seconds: number;
  readonly channels: number;
  readonly sampleRateHz: number;
  readonly noiseKpa: number;
  /** Clock of the time stamps. */
  readonly clockRateHz: number;
  /** Standard deviation of a time stamp [ticks]. */
  readonly timeJitterTicks: number;
}

// 45.9 mV/kPa on a 5.1 V, 1023-count converter (MPX4115A data sheet, transfer function).
const COUNTS_PER_KPA = (0.0459 / 5.1) * 1023;
const OFFSET_COUNTS = -0.095 * 1023;

export function manifoldSignal(options: ManifoldSignalOptions): SampleChunk {
  const random = mulberry(options.seed);
  const normal = () => {
    const radius = Math.sqrt(-2 * Math.log(1 - random()));
    return radius * Math.cos(2 * Math.PI * random());
  };
  const timeTicks: number[] = [];
  const counts: number[][] = Array.from({ length: options.channels }, () => []);
  const pressures = counts.map(() => 70);
  const depths = counts.map(() => 1);
  const samples = Math.round(options.seconds * options.sampleRateHz);
  let cycle = 0;
  let cycleHz = 8.33;
  for (let index = 0; index < samples; index++) {
    const stepS = 1 / options.sampleRateHz;
    const before = Math.floor(cycle);
    cycle += cycleHz * stepS;
    if (Math.floor(cycle) !== before) {
      cycleHz = 8.33 * (1 + 0.01 * normal());
      for (let channel = 0; channel < depths.length; channel++) depths[channel] = 1 + 0.02 * normal();
    }
    const jitter = Math.round(options.timeJitterTicks * normal());
    timeTicks.push(Math.round((index * options.clockRateHz) / options.sampleRateHz) + jitter);
    for (let channel = 0; channel < options.channels; channel++) {
      const phase = (cycle + channel / options.channels) % 1;
      const pulling = phase < 0.25 ? Math.sin(4 * Math.PI * phase) : 0;
      const target = pulling > 0 ? 32 : 101;
      const rate = pulling > 0 ? 55 * pulling * depths[channel]! : 9;
      pressures[channel]! += (target - pressures[channel]!) * (1 - Math.exp(-rate * stepS));
      const kpa = pressures[channel]! + options.noiseKpa * normal();
      counts[channel]!.push(Math.max(0, Math.min(1023, Math.round(kpa * COUNTS_PER_KPA + OFFSET_COUNTS))));
    }
  }
  return { timeTicks, counts };
}

/** Cuts a signal into chunks as a capture does. */
export function cutIntoChunks(signal: SampleChunk, samplesPerChunk: number): SampleChunk[] {
  const chunks: SampleChunk[] = [];
  for (let start = 0; start < signal.timeTicks.length; start += samplesPerChunk) {
    const cut = (column: readonly number[]) => column.slice(start, start + samplesPerChunk);
    chunks.push({ timeTicks: cut(signal.timeTicks), counts: signal.counts.map(cut) });
  }
  return chunks;
}

/** Mulberry32, public domain, by T. Ettinger. */
export function mulberry(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}
