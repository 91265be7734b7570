/**
 * A needle behind a restrictor: a first-order low-pass. It is within 10 % of a step's end after ln 10 time constants.
 */
export function damperTimeConstantS(response90S: number): number {
  return response90S / Math.LN10;
}

/**
 * The damper's reading at each row, exact for samples that hold until the next.
 *
 * @param fromKpa what it reads at first; default the first sample
 */
export function dampedKpa(
  timeS: Float64Array,
  kpa: Float64Array,
  timeConstantS: number,
  fromKpa = kpa[0] ?? 0,
): Float64Array {
  const out = new Float64Array(kpa.length);
  let level = fromKpa;
  for (let i = 0; i < kpa.length; i++) {
    if (i > 0) level += (kpa[i - 1]! - level) * (1 - Math.exp(-(timeS[i]! - timeS[i - 1]!) / timeConstantS));
    out[i] = level;
  }
  return out;
}

/** Mean of the rows of the last `windowS` seconds, at each row. */
export function movingAverageKpa(timeS: Float64Array, kpa: Float64Array, windowS: number): Float64Array {
  const out = new Float64Array(kpa.length);
  let sum = 0;
  let from = 0;
  for (let i = 0; i < kpa.length; i++) {
    sum += kpa[i]!;
    while (timeS[i]! - timeS[from]! >= windowS) sum -= kpa[from++]!;
    out[i] = sum / (i - from + 1);
  }
  return out;
}
