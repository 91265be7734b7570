import type { Engine } from '../engines/engine-recording.ts';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { layoutNamed } from '../engines/layouts.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import type { SeededRandom } from '../engines/seeded-random.ts';

/** An engine of that layout drawn for one spot test: which simulation, and what is the same for the whole of it. */
export function spotEngine(
  random: SeededRandom,
  { seed, name }: { readonly seed: number; readonly name: string },
) {
  const engine: Engine = random.uniform() < 0.5 ? refillEngine : fourierEngine;
  const base = {
    seed,
    durationS: 1,
    sampleRateHz: 250,
    intakeAnglesDeg: layoutNamed(name).intakeAnglesDeg,
    rpm: random.between(850, 1300),
    noiseKpa: random.between(0.05, 0.2),
    bits: 10,
  };
  return { engine, base };
}
