/** Years that the record takes. */
const FIRST_YEAR = 1880;
const LAST_YEAR = 2200;

export const WRONG_YEAR = 'A year such as 1984 is needed here, or nothing.';

/** The year that was typed: null for nothing, 'wrong' for what cannot be one. */
export function typedYear(text: string): number | null | 'wrong' {
  const typed = text.trim();
  if (typed === '') return null;
  const year = Number(typed);
  return /^\d{4}$/.test(typed) && year >= FIRST_YEAR && year <= LAST_YEAR ? year : 'wrong';
}
