import type { CaptureLabel, CaptureSummary } from '../../../server/contract/live.ts';

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

/** The time of day, with the date in front when it was not today. */
export function startedWords(startedAtMs: number, nowMs: number): string {
  const time = TIME.format(startedAtMs);
  return new Date(startedAtMs).toDateString() === new Date(nowMs).toDateString()
    ? time
    : `${DAY.format(startedAtMs)}, ${time}`;
}

export function durationWords(durationS: number): string {
  if (durationS < 90) return `${Math.round(durationS)} s`;
  const minutes = Math.floor(durationS / 60);
  return `${minutes} min ${Math.round(durationS - minutes * 60)} s`;
}
