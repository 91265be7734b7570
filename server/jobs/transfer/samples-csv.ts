/**
 * A chunk of raw samples as RFC 4180 text and back, without loss: board time in ticks, then the count of each
 * channel, empty where it is missing. Every cell is a whole number or empty, so that no spreadsheet takes one for a
 * formula.
 */
import { MISSING_COUNT, type SampleChunk } from '../capture-store.ts';

const LINE_END = '\r\n';

export function samplesToCsv(chunk: SampleChunk): string {
  const lines = [columnsOf(chunk.counts.length)];
  for (let row = 0; row < chunk.timeTicks.length; row++) {
    const cells = chunk.counts.map((column) => (column[row] === MISSING_COUNT ? '' : String(column[row])));
    lines.push([String(chunk.timeTicks[row]), ...cells].join(','));
  }
  return lines.join(LINE_END) + LINE_END;
}

/** @returns null for text that is not of this form */
export function samplesFromCsv(text: string): SampleChunk | null {
  const [first, ...lines] = text.split(/\r?\n/);
  if (first === undefined || lines.pop() !== '') return null;
  const channels = first.split(',').length - 1;
  if (first !== columnsOf(channels)) return null;
  const timeTicks: number[] = [];
  const counts: number[][] = Array.from({ length: channels }, () => []);
  for (const line of lines) {
    const cells = line.split(',');
    if (cells.length !== channels + 1) return null;
    const ticks = wholeNumber(cells[0]!);
    if (ticks === null) return null;
    timeTicks.push(ticks);
    for (let channel = 0; channel < channels; channel++) {
      const cell = cells[channel + 1]!;
      const count = cell === '' ? MISSING_COUNT : wholeNumber(cell);
      if (count === null) return null;
      counts[channel]!.push(count);
    }
  }
  return { timeTicks, counts };
}

const columnsOf = (channels: number): string =>
  ['time_ticks', ...Array.from({ length: channels }, (_, channel) => `counts_${channel + 1}`)].join(',');

function wholeNumber(text: string): number | null {
  if (!/^-?\d{1,15}$/.test(text)) return null;
  // No minus sign before a zero: it is one number and must come back as one.
  return Number(text) + 0;
}
