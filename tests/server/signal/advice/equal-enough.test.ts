import { describe, expect, it } from 'vitest';
import {
  isSurelyInside,
  maySettleItself,
  overallVerdict,
} from '../../../../server/signal/advice/equal-enough.ts';

const gap = (gapKpa: number | null, expandedKpa: number | null) => ({ gapKpa, expandedKpa });

describe('equal enough', () => {
  it.each([
    [[gap(0, 0), gap(0.3, 0.1)], 'inside'],
    [[gap(0, 0), gap(0.45, 0.1)], 'not-sure'],
    [[gap(0, 0), gap(-0.7, 0.1)], 'outside'],
    [[gap(0.45, 0.1), gap(-0.7, 0.1)], 'outside'],
    [[gap(0, 0), gap(null, null)], 'not-sure'],
    [[gap(0, 0), gap(0.1, null)], 'not-sure'],
  ] as const)('%j is %s', (gaps, verdict) => {
    expect(overallVerdict(gaps, 0.5)).toBe(verdict);
  });

  it('a first look takes a margin, which later cycles make up for', () => {
    expect(isSurelyInside([gap(0.38, 0.1)], 12, 0.5)).toBe(false);
    expect(isSurelyInside([gap(0.38, 0.1)], 60, 0.5)).toBe(true);
    expect(isSurelyInside([gap(0.3, 0.1)], 12, 0.5)).toBe(true);
    expect(isSurelyInside([gap(null, null)], 60, 0.5)).toBe(false);
  });

  it('waits for a gap that more cycles would show to be inside, not for one on the edge', () => {
    expect(maySettleItself([gap(0.49, 0.1)], 20, 0.5)).toBe(true);
    expect(maySettleItself([gap(0.4, 0.15)], 80, 0.5)).toBe(true);
    expect(maySettleItself([gap(0.49, 0.05)], 80, 0.5)).toBe(false);
  });

  it('does not wait for ever', () => {
    expect(maySettleItself([gap(0.485, 0.018)], 170, 0.5)).toBe(true);
    expect(maySettleItself([gap(0.485, 0.018)], 200, 0.5)).toBe(false);
  });
});
