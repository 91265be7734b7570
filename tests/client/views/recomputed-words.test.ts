import { describe, expect, it } from 'vitest';
import { recomputedWords } from '../../../client/views/captures/recomputed-words.ts';
import type { CaptureSummary } from '../../../server/contract/captures.ts';

const words = (before: number | null, now: number | null) =>
  recomputedWords({
    stored: { spreadKpa: before, softwareVersion: '0.1.0' } as CaptureSummary,
    softwareVersion: '0.2.0',
    spreadKpa: now,
    spreadExpandedKpa: null,
    gapsKpa: [],
    idleRpm: null,
    roughnessScore: null,
  });

describe('figures worked out again', () => {
  it('name the version of each, and say when nothing differs', () => {
    expect(words(1.234, 1.2341)).toBe('Version 0.2.0 from the same samples: the same gap.');
    expect(words(1.234, 1.1)).toBe(
      'Version 0.2.0 from the same samples: a gap of 1.10 kPa; version 0.1.0 had 1.23 kPa.',
    );
    expect(words(null, 1.1)).toContain('a gap of 1.10 kPa.');
    expect(words(1.2, null)).toContain('too short');
  });
});
