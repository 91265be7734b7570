import { describe, expect, test } from 'vitest';
import {
  SPEAK_AGAIN_MS,
  SPEAK_EVERY_MS,
  SPEAK_WORD_MS,
  spokenGap,
  timeToSay,
} from '../../../client/ear/spoken-gap.ts';
import { PRESSURE_UNITS, pressureUnit } from '../../../client/units/pressure-unit.ts';
import type { Update } from '../../../server/contract/live.ts';
import { practiceScene, updateOf } from '../screen/fake-scene.ts';

const said = (
  spreadKpa: number | null,
  spreadExpandedKpa: number | null,
  unit = 'kPa',
  more: Partial<Update> = {},
) => {
  const update = updateOf(practiceScene(), 1, 1, () => 0.5);
  const changed: Update = {
    ...update,
    spreadKpa,
    spreadExpandedKpa,
    verdict: 'outside',
    settling: 'steady',
    ...more,
  };
  return spokenGap(changed, pressureUnit(unit));
};

describe('the spoken gap', () => {
  test.each([
    [4.3, 0.16, 'kPa', '4.3 kilopascals.'],
    [4.3, 2.6, 'kPa', '4.3 kilopascals.'],
    [4.3, 5, 'kPa', '4 kilopascals.'],
    [0.63, 0.05, 'kPa', '0.63 kilopascals.'],
    [0.63, 0.4, 'kPa', '0.6 kilopascals.'],
    [3.386389, 0.1, 'inHg', '1.0 inches of mercury.'],
    [4.3, 0.16, 'mmHg', '32 millimetres of mercury.'],
    [4.3, 0.16, 'mbar', '43 millibars.'],
  ])('%s kPa ± %s in %s is said as "%s"', (kpa, expanded, unit, words) => {
    expect(said(kpa, expanded, unit)).toBe(words);
  });

  test('every unit has a word of its own and no sign', () => {
    const words = PRESSURE_UNITS.map(({ id }) => said(4.3, 0.16, id)!);
    expect(new Set(words).size).toBe(PRESSURE_UNITS.length);
    for (const text of words) expect(text).toMatch(/^\d+(\.\d+)? [a-z ]+\.$/);
  });

  test('equal and moving are words, and what is not known is not said', () => {
    expect(said(0.4, 0.1, 'kPa', { verdict: 'inside' })).toBe('Equal.');
    expect(said(4, 0.1, 'kPa', { settling: 'moving' })).toBe('Moving.');
    expect(said(null, null)).toBeNull();
    expect(spokenGap(null, pressureUnit('kPa'))).toBeNull();
  });
});

describe('the pace of the voice', () => {
  const last = { text: '4.3 kilopascals.', atMs: 1_000 };
  test.each([
    ['another figure', '4.1 kilopascals.', SPEAK_EVERY_MS],
    ['a word', 'Equal.', SPEAK_WORD_MS],
    ['the same figure', last.text, SPEAK_AGAIN_MS],
  ])('%s waits its time', (_, text, waitMs) => {
    expect(timeToSay(last, text, last.atMs + waitMs - 1)).toBe(false);
    expect(timeToSay(last, text, last.atMs + waitMs)).toBe(true);
  });

  test('a word is said once, the first thing at once', () => {
    expect(timeToSay({ text: 'Equal.', atMs: 0 }, 'Equal.', 1e6)).toBe(false);
    expect(timeToSay(null, 'Equal.', 0)).toBe(true);
  });
});
