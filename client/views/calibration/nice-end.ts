/** The next of 1, 2 or 5 times a power of ten that is not less. @param value greater than 0 */
export function niceEnd(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  const step = [1, 2, 5, 10].find((factor) => factor * power >= value * (1 - 1e-9)) ?? 10;
  return step * power;
}
