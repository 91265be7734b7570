import { describe, expect, test } from 'vitest';
import { readEntry } from '../../../client/views/setup/number-entry.ts';

const limits = { least: 0.5, most: 20, required: true, decimals: 1 };

describe('a number as it is typed', () => {
  test('point or comma, with blanks around it', () => {
    expect(readEntry(' 2.5 ', limits)).toEqual({ value: 2.5, wrong: '' });
    expect(readEntry('2,5', limits)).toEqual({ value: 2.5, wrong: '' });
  });

  test('the limits themselves are allowed', () => {
    expect(readEntry('0.5', limits).value).toBe(0.5);
    expect(readEntry('20', limits).value).toBe(20);
  });

  test.each(['0.4', '21', 'two', '1e9', '--', 'Infinity', 'NaN'])('%s is refused with the limits', (text) => {
    expect(readEntry(text, limits)).toEqual({ value: null, wrong: 'Enter a number from 0.5 to 20.' });
  });

  test('nothing means not set where that is allowed', () => {
    expect(readEntry('', { ...limits, required: false })).toEqual({ value: null, wrong: '' });
    expect(readEntry('  ', limits)).toEqual({ value: null, wrong: 'Enter a number.' });
  });
});
