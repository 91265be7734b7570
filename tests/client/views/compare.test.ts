import { describe, expect, test } from 'vitest';
import { changeOf, comparisonWords, proposedPair } from '../../../client/views/captures/compare.ts';
import type { CaptureSummary } from '../../../server/contract/captures.ts';

const capture = (id: string, startedAtMs: number, more: Partial<CaptureSummary> = {}): CaptureSummary => ({
  id,
  label: 'before',
  state: 'complete',
  practice: false,
  sourceAddress: '/dev/ttyACM0',
  startedAtMs,
  durationS: 30,
  samples: 15_000,
  cylinders: 2,
  spreadKpa: 4,
  spreadExpandedKpa: 0.3,
  gapsKpa: [2, -2],
  idleRpm: 1000,
  roughnessScore: 40,
  softwareVersion: '1',
  ...more,
});
const laterOne = (id: string, startedAtMs: number, more: Partial<CaptureSummary> = {}) =>
  capture(id, startedAtMs, { label: 'after', spreadKpa: 0.5, ...more });

describe('which captures are laid side by side', () => {
  test('the newest after and the newest before that is older', () => {
    const list = [capture('d', 400), laterOne('c', 300), capture('b', 200), capture('a', 100)];
    const pair = proposedPair(list, null, null);
    expect([pair.before?.id, pair.after?.id]).toEqual(['b', 'c']);
  });

  test('what the person picked goes first', () => {
    const list = [laterOne('c', 300), capture('b', 200), capture('a', 100)];
    expect(proposedPair(list, 'a', null).before?.id).toBe('a');
    expect(proposedPair(list, null, 'b').after?.id).toBe('b');
  });

  test('one that is still running is not proposed', () => {
    const list = [laterOne('c', 300, { state: 'recording' }), capture('a', 100)];
    expect(proposedPair(list, null, null).after).toBeNull();
  });
});

describe('an honest comparison', () => {
  test('the uncertainty of a difference is the root of the sum of squares (GUM 5.1.2): 0.3 and 0.4 give 0.5', () => {
    const change = changeOf(4, 0.5, 0.3, 0.4);
    expect(change.difference).toBe(-3.5);
    expect(change.expanded).toBeCloseTo(0.5, 12);
    expect(change.real).toBe(true);
  });

  test('a change within its uncertainty is not sold as better', () => {
    const words = comparisonWords({ before: capture('a', 1, { spreadKpa: 0.8 }), after: laterOne('b', 2) });
    expect(words).toBe('The gap has not changed by more than its uncertainty: no better and no worse.');
  });

  test.each([
    [0.5, 'The gap is smaller, by more than its uncertainty.'],
    [9, 'The gap is larger, by more than its uncertainty.'],
    [null, 'One of the captures was too short for a gap.'],
  ])('a gap of 4 ± 0.3 kPa that becomes %s', (spreadKpa, words) => {
    expect(comparisonWords({ before: capture('a', 1), after: laterOne('b', 2, { spreadKpa }) })).toBe(words);
  });

  test('a missing uncertainty, another engine and the practice bench are named', () => {
    const before = capture('a', 1);
    expect(comparisonWords({ before, after: laterOne('b', 2, { spreadExpandedKpa: null }) })).toContain(
      'cannot be told',
    );
    expect(comparisonWords({ before, after: laterOne('b', 2, { cylinders: 4 }) })).toContain(
      'different engines',
    );
    expect(comparisonWords({ before, after: laterOne('b', 2, { practice: true }) })).toContain(
      'practice bench',
    );
    expect(comparisonWords({ before, after: null })).toContain('are needed');
  });
});
