import { describe, expect, it } from 'vitest';
import { driftSinceZero, HARMLESS_DRIFT_KPA } from '../../../server/signal/drift-since-zero.ts';

const channel = (meanKpa: number | null, zeroStandardUncertaintyKpa = 0.03) => ({
  meanKpa,
  standardErrorKpa: 0.01,
  zeroStandardUncertaintyKpa,
});

describe('a sensor with the engine off', () => {
  it('that reads the air has not drifted, one that is off by more than its uncertainty has', () => {
    const [still, moved] = driftSinceZero([channel(100.02), channel(100.6)], 100, 0.05);
    expect(still).toMatchObject({ drifted: false });
    expect(moved).toMatchObject({ drifted: true });
    expect(moved!.driftKpa).toBeCloseTo(0.6, 12);
  });

  it('counts the parts of its uncertainty in quadrature, twice', () => {
    const [one] = driftSinceZero(
      [{ meanKpa: 99, standardErrorKpa: 0.02, zeroStandardUncertaintyKpa: 0.03 }],
      100,
      0.06,
    );
    // 2 · √(0.02² + 0.03² + 0.06²) = 2 · 0.07
    expect(one!.expandedKpa).toBeCloseTo(0.14, 12);
  });

  it('is not blamed for what an uncertain air pressure may have done', () => {
    expect(driftSinceZero([channel(101)], 100, 1.5)[0]!.drifted).toBe(false);
  });

  it('is not blamed for what does no harm, however well it is known', () => {
    const little = {
      meanKpa: 100 + 0.9 * HARMLESS_DRIFT_KPA,
      standardErrorKpa: 0,
      zeroStandardUncertaintyKpa: 0,
    };
    expect(driftSinceZero([little], 100, 0)[0]!.drifted).toBe(false);
  });

  it('that was not still cannot be told', () => {
    expect(driftSinceZero([channel(null)], 100, 0.05)).toEqual([null]);
  });
});
