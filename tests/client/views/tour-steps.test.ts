import { describe, expect, it } from 'vitest';
import { TOUR_STEPS, type TourFacts } from '../../../client/views/tour/tour-steps.ts';

const NOTHING: TourFacts = {
  settling: null,
  verdict: null,
  screwTurned: false,
  before: null,
  after: null,
  view: 'bench',
};

describe('the tour', () => {
  it('begins with nothing done', () => {
    for (const { done, name } of TOUR_STEPS) expect(done?.(NOTHING) ?? false, name).toBe(false);
  });

  it('goes on by what the person does, in the order of the work', () => {
    const facts: Partial<TourFacts>[] = [
      { settling: 'steady' },
      { before: 'complete' },
      { screwTurned: true },
      { verdict: 'inside' },
      { after: 'complete' },
      { view: 'captures' },
    ];
    const active = TOUR_STEPS.filter(({ done }) => done !== undefined);
    expect(active).toHaveLength(facts.length);
    for (const [at, { done, name }] of active.entries())
      expect(done!({ ...NOTHING, ...facts[at] }), name).toBe(true);
  });

  it('takes no running capture for a finished one', () => {
    const [before] = TOUR_STEPS.filter(({ name }) => name === 'Before');
    expect(before!.done!({ ...NOTHING, before: 'recording' })).toBe(false);
    expect(before!.done!({ ...NOTHING, before: 'interrupted' })).toBe(true);
  });

  it('is read in well under three minutes', () => {
    const words = TOUR_STEPS.flatMap((step) => step.words.split(/\s+/)).length;
    // Common practice, no source: 200 words a minute; the doing takes the rest.
    expect(words / 200).toBeLessThan(1.5);
  });
});
