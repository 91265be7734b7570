/** A decimal number as typed, without the rounding of floating point. */
export interface ExactDecimal {
  /** The number times 10^scale. */
  readonly units: bigint;
  readonly scale: number;
}

/** @returns null for what is no plain decimal number with a point or a comma */
export function parseDecimal(text: string): ExactDecimal | null {
  const match = /^(\d*)(?:[.,](\d*))?$/.exec(text);
  if (match === null || !/\d/.test(text)) return null;
  const fraction = match[2] ?? '';
  return { units: BigInt(`${match[1]}${fraction}`), scale: fraction.length };
}

/** a × b / 10^(scales) as numerator over a power of ten; rounded half away from zero to a whole number. */
export function roundedQuotient(numerator: bigint, denominator: bigint): bigint {
  if (denominator <= 0n) throw new RangeError('the denominator is positive');
  const magnitude = numerator < 0n ? -numerator : numerator;
  const rounded = (2n * magnitude + denominator) / (2n * denominator);
  return numerator < 0n ? -rounded : rounded;
}

export const tenTo = (power: number): bigint => 10n ** BigInt(power);
