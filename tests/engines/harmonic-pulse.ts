import type { SeededRandom } from './seeded-random.ts';

/** One cylinder's periodic pressure, as a share of its swing, over the cycle from the begin of its fall. */
export interface HarmonicPulse {
  /** Share 0 (lowest) … 1 (where the fall begins) at even steps of the cycle; the last entry repeats the first. */
  readonly share: Float64Array;
  /** Exact mean of the share over the cycle. */
  readonly meanShare: number;
  /** Place of the lowest point in the cycle, 0…1. */
  readonly lowestAt: number;
}

const STEPS = 1024;
const HARMONICS = 14;

/**
 * A pulse made of a few harmonics, of the kind that gauges with a quick response show: a sharp fall, a recovery with
 * two bumps, and a small spike where burnt gas comes back. Lows and bumps are drawn at random, then everything above
 * the 14th harmonic is taken away.
 *
 * @param variety 0…1, how far the shape may leave its family's middle
 */
export function harmonicPulse(random: SeededRandom, variety: number): HarmonicPulse {
  const about = (middle: number, range: number): number => middle + range * variety * random.between(-1, 1);
  // Von Mises bumps: place in the cycle, concentration, height. The fall is sharp as a narrow low sits before a broad one.
  const bumps = [
    { at: about(0.2, 0.02), narrow: about(16, 5), height: about(-1, 0.1) },
    {
      at: about(0.31, 0.03),
      narrow: about(5, 1.5),
      height: about(-0.85, 0.15),
    },
    { at: about(0.52, 0.04), narrow: about(14, 5), height: about(0.13, 0.09) },
    { at: about(0.74, 0.04), narrow: about(8, 3), height: about(0.16, 0.1) },
    { at: about(0.03, 0.01), narrow: about(60, 20), height: about(0.14, 0.09) },
  ];
  const raw = new Float64Array(STEPS);
  for (let j = 0; j < STEPS; j++) {
    let sum = 0;
    for (const bump of bumps) {
      sum += bump.height * Math.exp(bump.narrow * (Math.cos(2 * Math.PI * (j / STEPS - bump.at)) - 1));
    }
    raw[j] = sum;
  }
  return fromFallOn(bandLimited(raw));
}

function bandLimited(raw: Float64Array): Float64Array {
  const out = new Float64Array(STEPS).fill(raw.reduce((a, b) => a + b, 0) / STEPS);
  for (let h = 1; h <= HARMONICS; h++) {
    let re = 0;
    let im = 0;
    for (let j = 0; j < STEPS; j++) {
      re += raw[j]! * cosines[(h * j) % STEPS]!;
      im += raw[j]! * cosines[(h * j + (3 * STEPS) / 4) % STEPS]!;
    }
    for (let j = 0; j < STEPS; j++) {
      out[j] =
        out[j]! +
        (2 / STEPS) * (re * cosines[(h * j) % STEPS]! + im * cosines[(h * j + (3 * STEPS) / 4) % STEPS]!);
    }
  }
  return out;
}

const cosines = Float64Array.from({ length: STEPS }, (_, j) => Math.cos((2 * Math.PI * j) / STEPS));

/** Part of the cycle before the lowest point in which the fall is taken to begin. */
const LONGEST_FALL = 0.2;

/** Turns the cycle so that it begins at the highest point shortly before the lowest, and scales that swing to 0…1. */
function fromFallOn(values: Float64Array): HarmonicPulse {
  let low = 0;
  for (let j = 1; j < STEPS; j++) if (values[j]! < values[low]!) low = j;
  let top = low;
  for (let back = 1; back < STEPS * LONGEST_FALL; back++) {
    const j = (low - back + STEPS) % STEPS;
    if (values[j]! > values[top]!) top = j;
  }
  const high = values[top]!;
  const swing = high - values[low]!;
  const share = Float64Array.from(
    { length: STEPS + 1 },
    (_, j) => (values[(top + j) % STEPS]! - values[low]!) / swing,
  );
  // The straight lines between the steps are the waveform: their mean is the mean of the steps.
  const meanShare = share.subarray(0, STEPS).reduce((a, b) => a + b, 0) / STEPS;
  return { share, meanShare, lowestAt: ((low - top + STEPS) % STEPS) / STEPS };
}

/** @param place 0…1 in the cycle */
export function shareAt(pulse: HarmonicPulse, place: number): number {
  const position = place * STEPS;
  const j = Math.min(Math.max(Math.floor(position), 0), STEPS - 1);
  const a = pulse.share[j]!;
  return a + (position - j) * (pulse.share[j + 1]! - a);
}
