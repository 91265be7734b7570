export interface EntryLimits {
  readonly least: number;
  readonly most: number;
  /** Whether nothing at all is allowed, which means 'not set'. */
  readonly required: boolean;
  /** Decimals in which the limits are told. */
  readonly decimals: number;
}

/** The number that a person typed, or in a sentence why it cannot be. A comma is a decimal point where many people work. */
export function readEntry(
  text: string,
  { least, most, required, decimals }: EntryLimits,
): { readonly value: number | null; readonly wrong: string } {
  const trimmed = text.trim().replace(',', '.');
  if (trimmed === '') return { value: null, wrong: required ? 'Enter a number.' : '' };
  const value = Number(trimmed);
  if (Number.isFinite(value) && value >= least && value <= most) return { value, wrong: '' };
  const limits = [least, most].map((limit) => Number(limit.toFixed(decimals)));
  return { value: null, wrong: `Enter a number from ${limits[0]} to ${limits[1]}.` };
}
