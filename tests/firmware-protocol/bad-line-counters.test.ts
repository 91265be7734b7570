import { describe, expect, test } from 'vitest';
import { BadLineCounters } from '../../firmware-protocol/bad-line-counters.ts';
import type { BadLineReason } from '../../firmware-protocol/lines.ts';
import { BAD_LINE_REASONS } from '../../firmware-protocol/lines.ts';

describe('counters of bad lines', () => {
  test('every reason has a counter of its own that starts at 0', () => {
    const counters = new BadLineCounters();
    expect(counters.snapshot()).toEqual(Object.fromEntries(BAD_LINE_REASONS.map((reason) => [reason, 0])));
    for (const [place, reason] of BAD_LINE_REASONS.entries()) {
      for (let times = 0; times <= place; times++) counters.count(reason);
    }
    expect(counters.snapshot()).toEqual(
      Object.fromEntries(BAD_LINE_REASONS.map((reason, place) => [reason, place + 1])),
    );
    expect(counters.total()).toBe((BAD_LINE_REASONS.length * (BAD_LINE_REASONS.length + 1)) / 2);
  });

  test('a snapshot stays as it was taken', () => {
    const counters = new BadLineCounters();
    const before = counters.snapshot();
    counters.count('too-long');
    expect(before['too-long']).toBe(0);
  });

  test('a reason that is none is misuse', () => {
    expect(() => new BadLineCounters().count('boredom' as BadLineReason)).toThrow(RangeError);
  });
});
