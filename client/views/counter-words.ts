/** What is counted of board and cable, in words. */
const WORDS: Readonly<Record<string, string>> = {
  opens: 'Times the port was opened',
  'failed-opens': 'Times the port did not open',
  'connections-lost': 'Times the connection was lost',
  'partial-first-line': 'Lines cut where listening began',
  'partial-last-line': 'Lines cut where the connection ended',
  'endless-line': 'Stretches without an end of line',
  'too-long': 'Lines that are too long',
  'not-text': 'Lines that are not text',
  'no-checksum': 'Lines without a checksum',
  'wrong-checksum': 'Lines with a wrong checksum',
  'unknown-kind': 'Lines of a kind that is not known',
  'wrong-field-count': 'Lines with too few or too many fields',
  'bad-number': 'Lines with something that is not a number',
  'out-of-range': 'Lines with a number out of range',
  'newer-protocol': 'Lines of a newer line protocol',
  'zero-channels': 'Times the board said that it has no channels',
  'too-many-channels': 'Times the board said that it has more than 8 channels',
  'wrong-channel-count': 'Samples with another number of channels',
  'above-full-scale': 'Samples above the full scale of the converter',
  'lost-samples': 'Samples lost',
  'duplicate-samples': 'Samples that came twice',
  'late-samples': 'Samples that came too late',
  'board-restarts': 'Times the board restarted',
  'board-overflow': 'Times the board could not send fast enough',
  'board-brown-out': 'Times the board’s supply voltage dropped',
  'board-watchdog': 'Times the board’s watchdog restarted it',
  'board-bad-command': 'Commands that the board did not understand',
  'board-adc-fault': 'Times the board’s converter failed',
};

/** Counted at every connection, of the best board too. */
const USUAL: ReadonlySet<string> = new Set(['opens', 'partial-first-line']);

/** One that a newer program counts is read by its name: `lost-samples` as 'Lost samples'. */
export function counterWords(name: string): string {
  const words = WORDS[name] ?? name.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** What was counted at all, by its words; nothing where all of it is usual. */
export function shownCounters(
  counters: Readonly<Record<string, number>>,
): readonly { readonly words: string; readonly count: number }[] {
  const counted = Object.entries(counters).filter(([, count]) => count > 0);
  if (counted.every(([name]) => USUAL.has(name))) return [];
  return counted
    .map(([name, count]) => ({ words: counterWords(name), count }))
    .sort((a, b) => a.words.localeCompare(b.words));
}
