import type { CaptureLabel, CaptureSummary } from '../../../server/contract/captures.ts';

export const CAPTURE_WORDS: Readonly<Record<CaptureLabel, string>> = {
  before: 'Before',
  after: 'After',
  between: 'Between',
};

export const STATE_WORDS: Readonly<Record<CaptureSummary['state'], string>> = {
  recording: 'recording',
  complete: '',
  interrupted: 'ended early',
};

const TIME = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit' });
const DAY = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short' });
const DAY_OF_YEAR = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });

/** The time of day, with the date in front when it was not today, and its year when that is another. */
export function startedWords(startedAtMs: number, nowMs: number): string {
  const time = TIME.format(startedAtMs);
  const [started, now] = [new Date(startedAtMs), new Date(nowMs)];
  if (started.toDateString() === now.toDateString()) return time;
  const day = started.getFullYear() === now.getFullYear() ? DAY : DAY_OF_YEAR;
  return `${day.format(startedAtMs)}, ${time}`;
}

export function durationWords(durationS: number): string {
  if (durationS < 90) return `${Math.round(durationS)} s`;
  const minutes = Math.floor(durationS / 60);
  return `${minutes} min ${Math.round(durationS - minutes * 60)} s`;
}
