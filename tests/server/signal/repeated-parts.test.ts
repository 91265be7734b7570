import { describe, expect, it } from 'vitest';
import { CycleTracker } from '../../../server/signal/cycle-tracker.ts';
import { defaultEngineSetup } from '../../../server/signal/engine-setup.ts';
import { partsRepeat } from '../../../server/signal/repeated-parts.ts';
import { SampleHistory } from '../../../server/signal/sample-history.ts';
import { refillEngine } from '../../engines/refill-engine.ts';

const PERIOD_S = 0.12;

/** An intake pulse in every cycle: a fall and a slower climb back. */
function history(rateHz: number, periodAt: (timeS: number) => number): SampleHistory {
  const samples = new SampleHistory([0]);
  let phase = 0;
  for (let row = 0; row < 4 * rateHz; row++) {
    const timeS = row / rateHz;
    samples.push(timeS, [40 + 45 * (1 - Math.exp(-4 * (phase % 1)))]);
    phase += 1 / rateHz / periodAt(timeS);
  }
  return samples;
}

describe('a stretch that was taken for one cycle', () => {
  const steady = history(500, () => PERIOD_S);

  it('is several where the same pulse comes several times', () => {
    expect(partsRepeat(steady, 0, 1, 1 + 2 * PERIOD_S, 2)).toBe(true);
    expect(partsRepeat(steady, 0, 1.03, 1.03 + 3 * PERIOD_S, 3)).toBe(true);
  });

  it('is one where it comes once, wherever it begins', () => {
    for (let fromS = 1; fromS < 1 + PERIOD_S; fromS += 0.01) {
      expect(partsRepeat(steady, 0, fromS, fromS + PERIOD_S, 2)).toBe(false);
      expect(partsRepeat(steady, 0, fromS, fromS + PERIOD_S, 3)).toBe(false);
    }
  });

  it('is told also while the speed changes by a tenth within it', () => {
    const slowing = history(500, (timeS) => PERIOD_S * (1 + 0.4 * timeS));
    expect(partsRepeat(slowing, 0, 1, 1.34, 2)).toBe(true);
  });

  it('is left alone where it has too few samples', () => {
    expect(
      partsRepeat(
        history(40, () => PERIOD_S),
        0,
        1,
        1 + 2 * PERIOD_S,
        2,
      ),
    ).toBe(false);
  });
});

/** Found among sixty such pairs of blips: without the check the clock stays with every other pulse for seconds. */
const HARD_BLIPS = [
  {
    seed: 51,
    blipsS: [
      { startS: 3.5, endS: 4.022776099061593, factor: 22.513760401168838, rise: 0.8663692600093782 },
      { startS: 8, endS: 8.361822086758911, factor: 24.487816473236308, rise: 1.7027776933275165 },
    ],
  },
  {
    seed: 60,
    blipsS: [
      { startS: 3.5, endS: 3.8676003703381867, factor: 20.86716060503386, rise: 1.5764342322945595 },
      { startS: 8, endS: 8.488812377525027, factor: 15.641203095205128, rise: 1.4777353162411602 },
    ],
  },
];

describe.each(HARD_BLIPS)('blips in which the pulses all but vanish, seed $seed', ({ seed, blipsS }) => {
  const opening = (timeS: number): number =>
    blipsS.reduce((open, { startS, endS, factor }) => {
      const risen = 1 - Math.exp(-Math.max(0, Math.min(timeS, endS) - startS) / 0.04);
      return open + (factor - 1) * risen * (timeS > endS ? Math.exp(-(timeS - endS) / 0.03) : 1);
    }, 1);
  const rpm = (timeS: number): number =>
    blipsS.reduce((speed, { startS, endS, rise }) => {
      if (timeS < startS) return speed;
      const up = 1 - Math.exp(-(Math.min(timeS, endS) - startS) / 0.25);
      return speed + 1100 * rise * up * (timeS > endS ? Math.exp(-(timeS - endS) / 0.55) : 1);
    }, 1100);
  const engine = refillEngine({
    seed,
    durationS: 14,
    sampleRateHz: 250,
    intakeAnglesDeg: [0, 360],
    noiseKpa: 0.15,
    bits: 10,
    cycleScatter: 0.006,
    wander: { sd: 0.003, correlation: 0.9 },
    depthScatter: 0.02,
    slides: [opening, opening],
    rpm,
  });

  it('leave no cycle counted double two seconds after the throttle is shut', () => {
    const wrong: string[] = [];
    let cycles = 0;
    const tracker = new CycleTracker(defaultEngineSetup(2), [0, 0], ({ startS, endS }) => {
      const middleS = (startS + endS) / 2;
      if (blipsS.some(({ startS: from, endS: to }) => middleS > from && middleS < to + 2)) return;
      cycles++;
      const shown = 120 / (endS - startS);
      if (Math.abs(shown / rpm(middleS) - 1) > 0.2)
        wrong.push(`${middleS.toFixed(2)} s: ${shown.toFixed(0)}`);
    });
    for (const [row, timeS] of engine.timeS.entries())
      tracker.push(
        timeS,
        engine.kpa.map((column) => column[row]!),
      );
    tracker.finish();
    expect(cycles).toBeGreaterThan(100);
    expect(wrong).toEqual([]);
  });
});
