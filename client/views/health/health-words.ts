export const PHASE_WORDS: Readonly<Record<string, string>> = {
  stopped: 'stopped',
  opening: 'opening the port',
  'waiting-for-board': 'waiting for the board to say what it is',
  live: 'samples come in',
  stalled: 'the samples stopped',
  lost: 'lost',
  ended: 'at its end',
  refused: 'refused',
};

const MOMENT = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', second: '2-digit' });

export function momentWords(atMs: number): string {
  return MOMENT.format(atMs);
}
