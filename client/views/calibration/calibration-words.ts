import type { CalibratedBoard, CalibrationKind } from '../../../server/contract/calibration.ts';

export const KIND_WORDS: Readonly<Record<CalibrationKind, string>> = {
  zero: 'Zero',
  matching: 'Matching',
  span: 'Span',
};

const DAY = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });

export function dayWords(atMs: number): string {
  return DAY.format(atMs);
}

/** What the sensors rest on, as one sentence. */
export function standingWords({ exact, kinds, validity }: CalibratedBoard): string {
  if (exact) return 'The sensors of the practice engine are exact.';
  const parts: string[] = [];
  if (kinds.includes('matching')) parts.push('matched to each other');
  if (kinds.includes('zero')) parts.push('zeroed to the air');
  if (kinds.includes('span')) parts.push('compared with a gauge');
  if (parts.length === 0) return 'Never calibrated: the data sheet is all that is known.';
  const last = parts.pop()!;
  const words = parts.length === 0 ? last : `${parts.join(', ')} and ${last}`;
  const { state, days } = validity;
  const until =
    state === 'expired'
      ? ` It is ${daysWords(days)} over its time.`
      : days === null
        ? ''
        : ` Good for ${daysWords(days)} more.`;
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.${until}`;
}

function daysWords(days: number | null): string {
  return days === 1 ? '1 day' : `${days ?? 0} days`;
}
