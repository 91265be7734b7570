import { describe, expect, test } from 'vitest';
import { counterWords, shownCounters } from '../../../client/views/counter-words.ts';
import { BAD_LINE_REASONS, BOARD_NOTICES } from '../../../firmware-protocol/lines.ts';

describe('what is counted of board and cable', () => {
  test.each([...BAD_LINE_REASONS, ...BOARD_NOTICES.map((notice) => `board-${notice}`)])(
    '%s is told in words of its own',
    (name) => {
      const byItsName = name.replaceAll('-', ' ');
      expect(counterWords(name).toLowerCase()).not.toBe(byItsName);
    },
  );

  test('a counter that is not known yet is read by its name', () => {
    expect(counterWords('new-kind-of-trouble')).toBe('New kind of trouble');
  });

  test('what every good connection counts is no trouble to tell of', () => {
    expect(shownCounters({ opens: 1, 'partial-first-line': 1, 'lost-samples': 0 })).toEqual([]);
  });

  test('with trouble all that was counted is told, by its words', () => {
    expect(shownCounters({ opens: 2, 'wrong-checksum': 0, 'lost-samples': 7 })).toEqual([
      { words: 'Samples lost', count: 7 },
      { words: 'Times the port was opened', count: 2 },
    ]);
  });
});
