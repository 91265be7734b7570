import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { HistoryColumns } from '../../../client/charts/history-columns.ts';

describe('columns of the chart', () => {
  test('they hold the last rows in order, as a plain list that drops its first does (seed 7)', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 12 }),
        fc.array(fc.option(fc.integer()), { maxLength: 60 }),
        (capacity, values) => {
          const columns = new HistoryColumns(1, capacity);
          const plain: { time: number; value: number | null }[] = [];
          for (const [time, value] of values.entries()) {
            columns.push(time, [value]);
            plain.push({ time, value });
            if (plain.length > capacity) plain.shift();
          }
          expect(columns.columns).toEqual([plain.map(({ time }) => time), plain.map(({ value }) => value)]);
        },
      ),
      { seed: 7 },
    );
  });

  test('the arrays are made once', () => {
    const columns = new HistoryColumns(2, 3);
    const before = [...columns.columns];
    for (let time = 0; time < 10; time++) columns.push(time, [time, -time]);
    expect(columns.columns.every((column, index) => column === before[index])).toBe(true);
    expect(columns.rows).toBe(3);
  });

  test('a break ends every line once, however often it is told', () => {
    const columns = new HistoryColumns(2, 10);
    columns.break();
    columns.push(1, [5, 6]);
    columns.break();
    columns.break();
    expect(columns.rows).toBe(2);
    expect(columns.columns.slice(1).map((column) => column.at(-1))).toEqual([null, null]);
  });

  test('time that goes back begins anew: the board was started again', () => {
    const columns = new HistoryColumns(1, 10);
    columns.push(100, [1]);
    columns.push(101, [2]);
    columns.push(3, [9]);
    expect(columns.columns).toEqual([[3], [9]]);
  });

  test('a row with too few values is a mistake of ours', () => {
    expect(() => new HistoryColumns(2, 10).push(1, [1])).toThrow('Expected 2 values, not 1');
    expect(() => new HistoryColumns(0, 10)).toThrow(RangeError);
  });
});
