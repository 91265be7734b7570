import { describe, expect, it } from 'vitest';
import { simulate } from '../../../../server/practice/simulate.ts';
import { refillSlope } from '../../../../server/signal/leak/refill-slope.ts';
import { windowOf } from '../../../../server/signal/leak/refill-window.ts';
import { layoutNamed } from '../../../engines/layouts.ts';
import { refillEngine } from '../../../engines/refill-engine.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';
import { cyclesOf } from './engine-cycles.ts';

describe('the air opening from the refill between intake strokes', () => {
  it.each([1, 2, 3, 4, 5, 6])(
    'is right between cylinders within 4 %% on an engine of refilling ports (seed %i)',
    (seed) => {
      const random = seededRandom(seed, 17);
      const { intakeAnglesDeg } = layoutNamed(random.uniform() < 0.5 ? 'triple 240' : 'four 180');
      const { timeS, kpa, truth } = refillEngine({
        seed,
        durationS: 6,
        sampleRateHz: 500,
        intakeAnglesDeg,
        rpm: random.between(800, 1300),
        opening: intakeAnglesDeg.map(() => random.between(0.8, 1.2)),
        cycleScatter: 0.01,
        depthScatter: 0.03,
        noiseKpa: 0.2,
        bits: 10,
      });
      const cycles = cyclesOf(timeS, kpa, truth.baroKpa);
      const slopes = kpa.map((column, cyl) => {
        const { slope } = refillSlope({
          timeS,
          kpa: column,
          cycles: cycles[cyl]!,
          barometricKpa: truth.baroKpa,
        });
        expect(slope!.cycles).toBeGreaterThan(30);
        return slope!.kpaPerS / truth.refillKpaPerS[cyl]!;
      });
      for (const ratio of slopes) expect(Math.abs(ratio / slopes[0]! - 1)).toBeLessThan(0.04);
    },
  );

  it('is in proportion to the throttles of an engine that balances mass and heat', () => {
    // Ports of the same size: opening goes with the screw, 0.22 of the start per turn.
    const mismatchTurns = [0.4, -0.5, 0, 0.2];
    const run = simulate(
      { layout: 'four-inline', seed: 5, controls: { mismatchTurns }, taps: { noiseKpa: 0.1, lagS: 0.002 } },
      8,
    );
    const cycles = cyclesOf(run.timeS, run.kpa, 101.325);
    const found = run.kpa.map(
      (kpa, cyl) =>
        refillSlope({ timeS: run.timeS, kpa, cycles: cycles[cyl]!, barometricKpa: 101.325 }).slope!.kpaPerS,
    );
    mismatchTurns.forEach((turns, cyl) => {
      const truth = (1 + 0.22 * turns) / (1 + 0.22 * mismatchTurns[2]!);
      expect(found[cyl]! / found[2]! / truth).toBeGreaterThan(0.96);
      expect(found[cyl]! / found[2]! / truth).toBeLessThan(1.04);
    });
  });

  it('is refused with a reason where there is no refill or not enough of it', () => {
    const timeS = Float64Array.from({ length: 4000 }, (_, i) => i / 500);
    const flat = timeS.map(() => 60);
    const cycles = Array.from({ length: 60 }, (_, i) => ({ startS: i * 0.12, endS: (i + 1) * 0.12 }));
    const input = { timeS, kpa: flat, cycles, barometricKpa: 100 };
    expect(refillSlope(input)).toEqual({ slope: null, refusal: 'no-refill' });
    expect(refillSlope({ ...input, cycles: cycles.slice(0, 5) }).refusal).toBe('too-few-cycles');
    const sparse = timeS.map((_, i) => (i % 30 === 0 ? 40 + (i % 60) : Number.NaN));
    expect(refillSlope({ ...input, kpa: sparse }).slope).toBeNull();
  });

  it('begins where the rise has become straight, and ends before the next stroke', () => {
    // Fall to a quarter of the cycle, half the rate till 0.4, then a straight rise to 0.9 and a flat end.
    const folded = Array.from({ length: 64 }, (_, bin) => {
      const phase = (bin + 0.5) / 64;
      if (phase < 0.25) return 52 - 30 * (phase / 0.25);
      if (phase < 0.4) return 22 + 20 * (phase - 0.25);
      return 25 + 40 * (Math.min(phase, 0.97) - 0.4);
    });
    const window = windowOf(folded, 100)!;
    expect(window.from).toBeGreaterThan(0.36);
    expect(window.from).toBeLessThan(0.46);
    expect(window.to).toBeGreaterThan(0.85);
    expect(window.to).toBeLessThan(0.95);
  });
});
