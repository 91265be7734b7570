import { relativeFlow } from '../../../engines/orifice-flow.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';

export interface PumpedSpec {
  readonly seed: number;
  readonly chokedKpaPerS: number;
  /** How long the part is left alone after the last stroke [s]. */
  readonly holdS: number;
  readonly strokes?: number;
  /** At the end the hose is pulled off and the gauge goes back to the air's pressure. */
  readonly pulledOff?: boolean;
  readonly noiseKpa?: number;
  /** Thinned air warms up again at the wall: part of the last fall that comes back, and how fast. */
  readonly warming?: { readonly share: number; readonly tauS: number };
}

const OUTSIDE_KPA = 100;
const RATE_HZ = 100;
const STEP_S = 0.001;
const COUNT_KPA = 100 / 1023;
const STROKE_S = 0.25;

/** A part drawn down by a hand pump, stroke by stroke, that leaks all the while; sampled with noise in ten bits. */
export function pumpedByHand(spec: PumpedSpec): {
  timeS: Float64Array;
  kpa: Float64Array;
  pumpedUntilS: number;
} {
  const random = seededRandom(spec.seed, 91);
  const strokes = spec.strokes ?? 6;
  const begins = Array.from({ length: strokes }, (_, i) => 1.5 + 0.8 * i + random.between(0, 0.15));
  const pumpedUntilS = begins.at(-1)! + STROKE_S;
  const endS = pumpedUntilS + spec.holdS;
  const rows = Math.floor((endS + (spec.pulledOff ? 3 : 0)) * RATE_HZ);
  const timeS = Float64Array.from({ length: rows }, (_, i) => i / RATE_HZ);
  let p = OUTSIDE_KPA;
  let atS = 0;
  const kpa = timeS.map((t) => {
    for (; atS < t; atS += STEP_S) {
      const pumping = begins.some((begin) => atS >= begin && atS < begin + STROKE_S);
      const leak = spec.chokedKpaPerS * relativeFlow(Math.min(1, p / OUTSIDE_KPA));
      // Each stroke takes about a fifth of what is there.
      p += STEP_S * (pumping ? (-0.22 * p) / STROKE_S : leak);
      if (spec.pulledOff && atS > endS) p += (OUTSIDE_KPA - p) * (STEP_S / 0.05);
    }
    const warmth = spec.warming;
    const cold =
      warmth && t > pumpedUntilS ? -warmth.share * 0.22 * p * Math.exp(-(t - pumpedUntilS) / warmth.tauS) : 0;
    return COUNT_KPA * Math.round((p + cold + (spec.noiseKpa ?? 0.1) * random.normal()) / COUNT_KPA);
  });
  return { timeS, kpa, pumpedUntilS };
}
