/** Changes to inputs that keep enough of their form to get past the first check. */
import type { SeededRandom } from '../engines/seeded-random.ts';

const NUMBERS = [
  '0',
  '-0',
  '-1',
  '1',
  '7',
  '255',
  '65535',
  '65536',
  '4294967295',
  '4294967296',
  '9007199254740993',
  '1e400',
  '-1e-400',
  '0x10',
  '00',
  '٣',
  'NaN',
  'Infinity',
  '1.',
  '.5',
  '1,5',
  '',
];
const SCRAPS = [
  '\0',
  '\n',
  '\r\n',
  '\r',
  '"',
  '""',
  "'",
  ',',
  ';',
  '\t',
  '*',
  '#',
  '\\',
  '\u{feff}',
  '\u{2028}',
  '\u{d800}',
  '🏍',
  '../',
  '%00',
  '<b>',
  '{}',
  '[]',
  'null',
  ' ',
];

/** One input changed in one to six places. @param corpus others to take pieces from */
export function mutated(text: string, corpus: readonly string[], random: SeededRandom): string {
  let out = text;
  for (let times = 1 + random.index(6); times > 0; times--) out = once(out, corpus, random);
  return out;
}

function once(text: string, corpus: readonly string[], random: SeededRandom): string {
  const at = random.index(text.length + 1);
  const to = Math.min(text.length, at + 1 + random.index(random.uniform() < 0.8 ? 4 : 60));
  const piece = text.slice(at, to);
  switch (random.index(9)) {
    case 0:
      return (
        text.slice(0, at) + String.fromCharCode(random.index(256)) + text.slice(Math.min(text.length, at + 1))
      );
    case 1:
      return text.slice(0, at) + text.slice(to);
    case 2:
      return text.slice(0, to) + piece + text.slice(to);
    case 3:
      return text.slice(0, at) + SCRAPS[random.index(SCRAPS.length)]! + text.slice(at);
    case 4:
      return withOtherNumber(text, random);
    case 5: {
      const other = corpus[random.index(corpus.length)]!;
      return text.slice(0, at) + other.slice(random.index(other.length + 1));
    }
    case 6:
      return text.slice(0, at);
    case 7:
      return text.slice(0, at) + piece.repeat(random.index(40)) + text.slice(to);
    default:
      return text.slice(0, at) + [...piece].reverse().join('') + text.slice(to);
  }
}

function withOtherNumber(text: string, random: SeededRandom): string {
  const numbers = [...text.matchAll(/-?\d+(\.\d+)?/g)];
  const chosen = numbers[random.index(Math.max(1, numbers.length))];
  if (chosen === undefined) return text + NUMBERS[random.index(NUMBERS.length)]!;
  return (
    text.slice(0, chosen.index) +
    NUMBERS[random.index(NUMBERS.length)]! +
    text.slice(chosen.index + chosen[0].length)
  );
}

const VALUES: readonly unknown[] = [
  null,
  true,
  false,
  0,
  -1,
  1.5,
  1e308,
  -0,
  2 ** 53,
  '',
  'x',
  '\0',
  '\u{d800}',
  '🏍'.repeat(50),
  [],
  {},
  [[]],
  [null],
  { length: 3 },
  { __proto__: null },
  { toString: 1 },
  '2024-02-30',
  '1e3',
  'constructor',
];

/** A JSON value changed in one to three places: values, kinds, missing and additional members. */
export function mutatedJson(value: unknown, random: SeededRandom): unknown {
  const copy = structuredClone(value);
  let root: unknown = copy;
  for (let times = 1 + random.index(3); times > 0; times--) root = onceJson(root, random);
  return root;
}

function onceJson(value: unknown, random: SeededRandom): unknown {
  const other = (): unknown => structuredClone(VALUES[random.index(VALUES.length)]);
  if (typeof value !== 'object' || value === null || random.uniform() < 0.05) return other();
  const keys = Object.keys(value);
  const key = keys[random.index(Math.max(1, keys.length))];
  const members = value as Record<string, unknown>;
  if (key === undefined || random.uniform() < 0.1) {
    const name = ['extra', '__proto__', 'constructor', '0', ''][random.index(5)]!;
    Object.defineProperty(members, name, {
      value: other(),
      enumerable: true,
      configurable: true,
      writable: true,
    });
  } else if (random.uniform() < 0.15) delete members[key];
  else if (Array.isArray(value) && random.uniform() < 0.2)
    value.push(...Array(random.index(300)).fill(value[0] ?? other()));
  else members[key] = onceJson(members[key], random);
  return value;
}

/** Cuts bytes into pieces that end anywhere. */
export function pieces(bytes: Buffer, random: SeededRandom, longest = 64): Buffer[] {
  const out: Buffer[] = [];
  for (let from = 0; from < bytes.length; ) {
    const to = from + 1 + random.index(longest);
    out.push(bytes.subarray(from, to));
    from = to;
  }
  return out;
}
