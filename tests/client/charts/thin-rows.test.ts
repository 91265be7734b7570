import { describe, expect, test } from 'vitest';
import { thinRows } from '../../../client/charts/thin-rows.ts';

const times = (rows: number, everyS: number) => Array.from({ length: rows }, (_, row) => row * everyS);

describe('rows of a line with one point per pixel', () => {
  test('there is one for every step of time, and the newest', () => {
    const time = times(601, 0.1);
    const rows = thinRows([time, time], 0.3);
    expect(rows.length).toBeGreaterThan(195);
    expect(rows.length).toBeLessThan(205);
    expect([rows[0], rows.at(-1)]).toEqual([0, 600]);
  });

  test('all are there where pixels are plenty', () => {
    const time = times(50, 0.1);
    expect(thinRows([time, time], 0.01)).toEqual(time.map((_, row) => row));
  });

  test('a row stays or goes by its time, however far it has moved along', () => {
    const time = times(400, 0.1);
    const later = time.slice(1);
    const kept = new Set(thinRows([time, time], 0.3).map((row) => time[row]));
    const keptLater = thinRows([later, later], 0.3).map((row) => later[row]);
    // The first row that is left has a place of its own.
    expect(keptLater.slice(1).filter((at) => !kept.has(at!))).toEqual([]);
  });

  test('a gap is as long as it was, whatever else is left out', () => {
    const time = times(100, 0.01);
    const there = time.map((_, row) => (row >= 40 && row < 43 ? null : 1));
    const rows = thinRows([time, time.map(() => 1), there], 0.5);
    expect(rows).toContain(39);
    expect(rows).toContain(40);
    expect(rows).toContain(42);
    expect(rows).toContain(43);
    expect(rows.length).toBeLessThan(12);
  });
});
