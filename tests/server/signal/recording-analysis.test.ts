import { describe, expect, it } from 'vitest';
import { defaultEngineSetup } from '../../../server/signal/engine-setup.ts';
import { RecordingAnalysis } from '../../../server/signal/recording-analysis.ts';
import { refillEngine } from '../../engines/refill-engine.ts';

const SEED = 71;
const RATE_HZ = 500;

/** A twin at 1000 r/min, 8.3 engine cycles a second. */
const engine = refillEngine({
  seed: SEED,
  durationS: 30,
  sampleRateHz: RATE_HZ,
  intakeAnglesDeg: [0, 360],
  rpm: 1000,
  cycleScatter: 0.008,
  depthScatter: 0.03,
  noiseKpa: 0.15,
  bits: 10,
});

function analyse(durationS: number, mostCycles?: number) {
  const analysis = new RecordingAnalysis(
    defaultEngineSetup(2),
    mostCycles === undefined ? {} : { mostCycles },
  );
  for (let row = 0; row < durationS * RATE_HZ; row++)
    analysis.push(
      engine.timeS[row]!,
      engine.kpa.map((column) => column[row]!),
    );
  return analysis.finish();
}

describe(`a recording of more cycles than are kept, seed ${SEED}`, () => {
  const cut = analyse(30, 100);

  it('gives the figures of its beginning, and says so', () => {
    expect(cut.truncated).toBe(true);
    expect(cut.engineCycles).toBe(100);
    expect(cut.cylinders.map(({ cycles }) => cycles)).toEqual([100, 100]);
    expect(cut.idleRpm!.mean).toBeCloseTo(analyse(13).idleRpm!.mean, -1);
  });

  it('is told from one that fits', () => {
    const whole = analyse(30);
    expect(whole.truncated).toBe(false);
    expect(whole.engineCycles).toBeGreaterThan(230);
  });
});
