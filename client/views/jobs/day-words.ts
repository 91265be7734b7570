/** Days in the shop's own calendar, `2024-05-31`. */

export function today(): string {
  const now = new Date();
  const two = (value: number) => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** In the manner of the browser's language: '31 May 2024'. */
export function dayWords(day: string): string {
  const [year, month, date] = day.split('-').map(Number);
  const at = new Date(year ?? 0, (month ?? 1) - 1, date ?? 1);
  return Number.isNaN(at.getTime())
    ? day
    : new Intl.DateTimeFormat(undefined, { day: 'numeric', month: 'short', year: 'numeric' }).format(at);
}
