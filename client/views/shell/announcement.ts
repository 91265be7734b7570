import type { Update } from '../../../server/contract/live.ts';
import { fromKpa, type PressureUnit } from '../../units/pressure-unit.ts';
import { sidesWords, verdictWords } from '../bench/verdict-words.ts';

/** A screen reader needs about this long to say it [ms]. */
export const SPEAK_EVERY_MS = 5_000;
/** A changed verdict may come sooner. */
export const SPEAK_NEWS_MS = 2_000;
/** A gap that changed by less than this part is not worth saying again. */
const WORTH_SAYING = 0.15;

export interface Announcement {
  readonly text: string;
  /** What must have changed to be said soon. */
  readonly news: string;
  readonly gapKpa: number | null;
}

/** The gap and the next move as sentences to be read aloud. */
export function announcement(
  update: Update | null,
  nextMove: string | null,
  unit: PressureUnit,
): Announcement {
  if (update === null || update.spreadKpa === null)
    return { text: 'No reading.', news: 'none', gapKpa: null };
  const gap = Number(fromKpa(update.spreadKpa, unit).toPrecision(2));
  const reminder = update.advice?.idle.sentence ?? '';
  const sentences = [
    `${verdictWords(update.verdict)}. Gap ${gap} ${unit.spoken}, ${update.settling}.`,
    update.verdict === 'inside' ? '' : `${sidesWords(update)}.`,
    nextMove ?? '',
    reminder,
  ];
  return {
    text: sentences.filter((sentence) => sentence !== '' && sentence !== '.').join(' '),
    news: `${update.verdict} ${nextMove ?? ''} ${reminder}`,
    gapKpa: update.spreadKpa,
  };
}

/** Whether it is time to say the next one. */
export function worthSaying(last: Announcement | null, next: Announcement, sinceMs: number): boolean {
  if (last === null) return true;
  if (next.text === last.text) return false;
  if (next.news !== last.news) return sinceMs >= SPEAK_NEWS_MS;
  if (sinceMs < SPEAK_EVERY_MS) return false;
  if (next.gapKpa === null || last.gapKpa === null) return true;
  return Math.abs(next.gapKpa - last.gapKpa) > WORTH_SAYING * Math.max(last.gapKpa, next.gapKpa);
}
