import { describe, expect, test } from 'vitest';
import { TRACE_S, TraceHistory } from '../../../client/charts/trace-history.ts';
import { laneFoot, traceLanes } from '../../../client/charts/trace-lanes.ts';

const message = (timeS: number[], absoluteKpa: (number | null)[][]) => ({
  type: 'pulses' as const,
  timeS,
  absoluteKpa,
  folded: [],
});

describe('the traces of the last seconds', () => {
  test('are vacuum, counted from the pressure of the air', () => {
    const history = new TraceHistory(2);
    history.take(
      message(
        [1, 1.004],
        [
          [60, 61],
          [100, null],
        ],
      ),
      101,
    );
    expect(history.columns).toEqual([
      [1, 1.004],
      [41, 40],
      [1, null],
    ]);
    expect(history.highestKpa()).toBe(41);
  });

  test('have a gap where samples were lost, and where the readings stopped', () => {
    const history = new TraceHistory(1);
    history.take(message([1, 1.004, 2], [[60, 60, 60]]), 101);
    history.break();
    expect(history.columns[1]).toEqual([41, 41, null, 41, null]);
  });

  test('hold as much as is shown and no more, however long it runs', () => {
    const history = new TraceHistory(1);
    for (let second = 0; second < 600; second++) {
      const timeS = Array.from({ length: 250 }, (_, at) => second + at / 250);
      history.take(message(timeS, [timeS.map(() => 60)]), 101);
    }
    const [times] = history.columns;
    expect(times!.length).toBeLessThanOrEqual(300 * TRACE_S);
    expect(times!.at(-1)! - times![0]!).toBeGreaterThan(TRACE_S);
  });
});

describe('lanes', () => {
  test('stand one above the other, the first cylinder at the top, no vacuum at the foot', () => {
    const lanes = traceLanes([[0], [0], [50], [null]], 50);
    expect(lanes[1]).toEqual([laneFoot(0, 3)]);
    expect(laneFoot(0, 3)).toBeGreaterThan(2);
    expect(lanes[2]![0]).toBeGreaterThan(1.9);
    expect(lanes[2]![0]).toBeLessThan(2);
    expect(lanes[3]).toEqual([null]);
  });

  test('are never left by their trace', () => {
    const lanes = traceLanes(
      [
        [0, 1],
        [900, -900],
        [900, -900],
      ],
      50,
    );
    for (const [cyl, lane] of lanes.slice(1).entries()) {
      for (const at of lane) {
        expect(at).toBeGreaterThan(1 - cyl);
        expect(at).toBeLessThan(2 - cyl);
      }
    }
  });
});
