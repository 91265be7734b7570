/** `GET /api/board-health`: what the board and the way to it do, for the person who looks for a fault. */
import Type, { type Static } from 'typebox';
import { nullable } from './nullable.ts';

export const BoardHealth = Type.Object({
  boardId: nullable(Type.String()),
  firmwareVersion: nullable(Type.String()),
  /** What the board says of its sampling. */
  sampleRateHz: nullable(Type.Number()),
  /** Samples that arrived per second of the computer's clock; null until ten seconds were seen. */
  arrivingHz: nullable(Type.Number()),
  /** Standard deviation of the time from sample to sample, by the board's own stamps [µs]. */
  jitterUs: nullable(Type.Number()),
  channels: Type.Array(
    Type.Object({
      /** 1-based. */
      channel: Type.Integer(),
      sensorType: Type.String(),
      /** Standard deviation of single samples [kPa]; an engine's pulses are left out as far as can be. */
      noiseKpa: nullable(Type.Number()),
      /** Absolute pressure of the newest sample [kPa]; null where there is none. */
      newestKpa: nullable(Type.Number()),
    }),
  ),
  /** Samples since the program started, and those that never arrived. */
  samples: Type.Integer(),
  lostSamples: Type.Integer(),
  temperatureCelsius: nullable(Type.Number()),
  barometerKpa: nullable(Type.Number()),
  /** Each kind of bad line, notice of the board and the like that was seen. */
  counters: Type.Record(Type.String(), Type.Integer()),
  /** Newest first. */
  linkHistory: Type.Array(
    Type.Object({
      atMs: Type.Number(),
      phase: Type.String(),
      /** What was the matter, in one sentence; empty where nothing was. */
      sentence: Type.String(),
    }),
  ),
});
export type BoardHealth = Static<typeof BoardHealth>;
