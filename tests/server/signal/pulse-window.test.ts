import { describe, expect, it } from 'vitest';
import { PulseTemplate } from '../../../server/signal/pulse-template.ts';
import { PulseWindow } from '../../../server/signal/pulse-window.ts';
import { SampleHistory } from '../../../server/signal/sample-history.ts';

const RATE_HZ = 250;
const CYCLE_ROWS = 30;
const FALL_ROW = 30;

function pulse(row: number): number {
  return 70 + 20 * Math.cos((2 * Math.PI * (row - FALL_ROW)) / CYCLE_ROWS + 1);
}

function usualPulse(): PulseTemplate {
  const template = new PulseTemplate();
  for (let row = 0; row < CYCLE_ROWS; row += 0.1) template.add((row - FALL_ROW) / CYCLE_ROWS, pulse(row));
  template.settle();
  return template;
}

describe('the samples of a pulse are those that arrived', () => {
  it.each([
    ['at the fall', 28, 32],
    ['at the trough', 34, 39],
    ['at the beginning of the window', 14, 20],
  ])('a hole %s: the straight line that bridges it changes no sum', (_, from, to) => {
    const template = usualPulse();
    const [bridged, sparse] = [new SampleHistory([0]), new SampleHistory([0])];
    for (let row = 0; row < 60; row++) {
      const missing = row >= from && row < to;
      bridged.push(row / RATE_HZ, [missing ? Number.NaN : pulse(row)]);
      if (!missing) sparse.push(row / RATE_HZ, [pulse(row)]);
    }
    const [one, other] = [bridged, sparse].map(
      (history) => new PulseWindow(history, 0, template, FALL_ROW / RATE_HZ, CYCLE_ROWS / RATE_HZ),
    );
    const inWindow =
      Math.min(to, FALL_ROW + CYCLE_ROWS / 2 + 1) - Math.max(from, FALL_ROW - CYCLE_ROWS / 2 + 1);
    expect(one!.points).toBe(CYCLE_ROWS - inWindow);
    expect(other!.points).toBe(one!.points);
    expect({ ...one!.sums(0.02, 1, 0.2) }).toEqual({ ...other!.sums(0.02, 1, 0.2) });
  });
});
