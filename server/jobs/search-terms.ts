/**
 * Words for a search on PostgreSQL, cut and folded as SQLite's unicode61 does: letters and digits, lower case, accents
 * taken off. Pure.
 */

const MAX_TOKEN_LENGTH = 200;
/** Of a tsvector, PostgreSQL documentation, 12.11 'Limitations'. */
const MAX_POSITION = 16_383;
const MAX_POSITIONS_PER_TOKEN = 255;
/** Far more than a job has, and below what one tsvector takes (1 MB). */
const MAX_TOKENS = 20_000;
const WORDS_BEFORE_HIT = 2;

interface Token {
  readonly text: string;
  readonly from: number;
  readonly to: number;
}

/** The words as the text of a `tsvector`. */
export function searchVector(words: string): string {
  const positions = new Map<string, number[]>();
  for (const [index, { text }] of tokensOf(words).slice(0, MAX_TOKENS).entries()) {
    const found = positions.get(text) ?? [];
    if (found.length < MAX_POSITIONS_PER_TOKEN) found.push(Math.min(index + 1, MAX_POSITION));
    positions.set(text, found);
  }
  return [...positions].map(([text, places]) => `'${text}':${places.join(',')}`).join(' ');
}

/** A `tsquery` of all words, each with its last letters left open; one with a hyphen is met as a whole. */
export function searchQuery(words: readonly string[]): string {
  return words
    .map((word) => tokensOf(word).map(({ text }) => `'${text}'`))
    .filter((tokens) => tokens.length > 0)
    .map((tokens) => `${tokens.join(' <-> ')}:*`)
    .join(' & ');
}

/** The text around the first word that was met. */
export function searchSnippet(text: string, words: readonly string[], length: number): string {
  const sought = words.flatMap((word) => tokensOf(word).map((token) => token.text));
  const tokens = tokensOf(text);
  const hit = Math.max(
    0,
    tokens.findIndex((token) => sought.some((word) => token.text.startsWith(word))),
  );
  const first = Math.max(0, Math.min(hit - WORDS_BEFORE_HIT, tokens.length - length));
  const last = Math.min(tokens.length, first + length) - 1;
  if (last < first) return '';
  const start = first === 0 ? 0 : tokens[first]!.from;
  const end = last === tokens.length - 1 ? text.length : tokens[last]!.to;
  return `${first === 0 ? '' : '…'}${text.slice(start, end)}${end === text.length ? '' : '…'}`;
}

function tokensOf(text: string): Token[] {
  return [...text.matchAll(/[\p{L}\p{N}\p{M}\p{Co}]+/gu)].flatMap((match) => {
    const folded = match[0].normalize('NFD').replace(/\p{M}/gu, '').toLowerCase().normalize('NFC');
    if (folded === '') return [];
    return [
      { text: folded.slice(0, MAX_TOKEN_LENGTH), from: match.index, to: match.index + match[0].length },
    ];
  });
}
