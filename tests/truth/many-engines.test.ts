import { describe, expect, it } from 'vitest';
import { bias, rootMeanSquare } from './error-tally.ts';
import { cases } from './grid.ts';
import { judgeCases, summarise } from './grid-run.ts';
import { type CaseTrouble, TROUBLES } from './grid-troubles.ts';
import { instrumentAnalyser } from './instrument-analyser.ts';

/** Set to try more engines than the everyday run does, and others. */
const CASES = Number(process.env.IDLEWRIGHT_TRUTH_CASES ?? 2000);
const SEED = Number(process.env.IDLEWRIGHT_TRUTH_SEED ?? 9001);
/** Short recordings: every engine is found anew, which is where a wrong multiple of the cycle would be taken. */
const DURATION_S = 2.5;
const LIMITS = {
  minRpm: 600,
  maxRpm: 6000,
  minSamplesPerCycle: 12,
  change: <T extends object>(spec: T) => ({ ...spec, durationS: DURATION_S }),
};
/** A blip is over before such a short recording has told the engine's cycle; it has tests of its own. */
const troubles: readonly CaseTrouble[] = TROUBLES.filter((trouble) => trouble !== 'blip');

describe(`${CASES} engines of every layout, speed, sampling and trouble (seed ${SEED})`, () => {
  const summary = summarise(judgeCases(instrumentAnalyser, cases(CASES, SEED, { ...LIMITS, troubles })));

  it('are followed on nearly all of their cycles', () => {
    expect(summary.engineCycles).toBeGreaterThan(20 * CASES);
    expect(summary.covered.speed).toBeGreaterThan(0.9);
  });

  it('are taken for half, twice or another multiple of their speed in less than one cycle of ten thousand', () => {
    // Two cycles of one single just after a backfire were, when this was written.
    expect(summary.harmonics).toBeLessThan(summary.engineCycles / 10_000);
  });

  it('are read without bias', () => {
    expect(Math.abs(bias(summary.meanKpa))).toBeLessThan(0.02);
    expect(rootMeanSquare(summary.meanKpa)).toBeLessThan(0.1);
  });
});
