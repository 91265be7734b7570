import { expect, it } from 'vitest';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import { steadyIdle } from './steady-idle.ts';

it.each([
  ['refill', refillEngine],
  ['fourier', fourierEngine],
] as const)('a steady idle of the %s engine scatters by what was asked for', (_name, engine) => {
  const spec = { seed: 8, durationS: 60, sampleRateHz: 10, intakeAnglesDeg: [0, 180, 450, 630], rpm: 1050 };
  for (const sdKpa of [0.2, 0.5]) {
    const { truth } = engine(steadyIdle(engine, spec, sdKpa));
    const starts = truth.cycleStartsS[2]!;
    const means = Array.from(starts.subarray(1), (end, k) => truth.meanVacuumKpa(2, starts[k]!, end));
    const mean = means.reduce((a, b) => a + b, 0) / means.length;
    const sd = Math.sqrt(means.reduce((a, b) => a + (b - mean) ** 2, 0) / means.length);
    expect(sd).toBeGreaterThan(0.75 * sdKpa);
    expect(sd).toBeLessThan(1.3 * sdKpa);
  }
});
