import { describe, expect, it } from 'vitest';
import type { Reading } from '../../server/signal/reading.ts';
import type { EngineRecording } from '../engines/engine-recording.ts';
import type { EngineSpec } from '../engines/engine-spec.ts';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { setupOf } from './analyse-recording-of.ts';
import type { Analyser } from './analyser.ts';
import { falseFlags } from './false-flags.ts';
import { dampedKpa, damperTimeConstantS, movingAverageKpa } from './first-order-damper.ts';
import { naiveAnalyser } from './naive-analyser.ts';
import { playLive } from './play-live.ts';
import { residualPulsation } from './residual-pulsation.ts';
import { stepResponse } from './step-response.ts';

const STEP_S = 4.03;
const CYCLE_S = 0.1;
const spec: EngineSpec = {
  seed: 3,
  durationS: 9,
  sampleRateHz: 500,
  intakeAnglesDeg: [0, 180, 540, 360],
  rpm: 1200,
  levelSteps: [{ channel: 2, atS: STEP_S, kpa: -2 }],
};

/** A meter that knows the truth and tells it late: `delayS` after the step it shows the new level, `flagS` after it says so. */
function lateMeter(recording: EngineRecording, delayS: number, flagS: number, wobbleKpa = 0): Analyser {
  const before = recording.kpa.map((_, i) => recording.truth.meanVacuumKpa(i, 1, 3));
  const after = recording.kpa.map((_, i) => recording.truth.meanVacuumKpa(i, 6, 8));
  const empty = naiveAnalyser.live(setupOf(recording)).reading();
  return {
    analyse: naiveAnalyser.analyse,
    live: () => {
      let newestS = 0;
      return {
        push: (timeS) => {
          newestS = timeS;
        },
        reading: (): Reading => {
          const levels = newestS >= STEP_S + delayS ? after : before;
          const mean = levels.reduce((a, b) => a + b, 0) / levels.length;
          const flagged = newestS >= STEP_S + flagS && newestS < STEP_S + flagS + 0.5;
          const wobble = wobbleKpa * Math.sin(2 * Math.PI * 5 * newestS);
          return {
            ...empty,
            timeS: newestS,
            cylinders: empty.cylinders.map((c, i) => ({
              ...c,
              vacuumKpa: levels[i]! + wobble,
              lastCycleKpa: levels[i]! + wobble,
              gapKpa: levels[i]! - mean,
              settling: flagged && i === 2 ? 'moving' : 'steady',
            })),
          };
        },
      };
    },
  };
}

describe('step response', () => {
  const recording = fourierEngine(spec);

  it.each([0.15, 0.42, 1.7])('times a meter that is %s s late', (delayS) => {
    const response = stepResponse(lateMeter(recording, delayS, 0.2), recording, 2, STEP_S);
    // Looked at every eighth of a cycle.
    expect(response.cyclesToGap).toBeGreaterThanOrEqual(delayS / CYCLE_S - 0.01);
    expect(response.cyclesToGap).toBeLessThan(delayS / CYCLE_S + 0.3);
    expect(response.cyclesToStay).toBe(response.cyclesToGap);
    expect(response.cyclesToFlag).toBeLessThan(2.3);
    expect(response.steadyBefore).toBe(true);
  });

  it('says never of a meter that does not follow, and of one that does not flag', () => {
    const response = stepResponse(lateMeter(recording, 1e9, 1e9), recording, 2, STEP_S);
    expect([response.cyclesToGap, response.cyclesToStay, response.cyclesToFlag]).toEqual([null, null, null]);
  });

  it('finds a one-second moving average about nine cycles late', () => {
    const response = stepResponse(naiveAnalyser, recording, 2, STEP_S);
    expect(response.cyclesToGap).toBeGreaterThan(7);
    expect(response.cyclesToGap).toBeLessThan(11);
  });
});

describe('steady or moving', () => {
  const still = fourierEngine({ ...spec, levelSteps: [], durationS: 12 });

  it('counts a flag where nothing was touched', () => {
    expect(falseFlags(lateMeter(still, 0, 1e9), still, 2)).toMatchObject({ flags: 0, steadyShare: 1 });
    const flagged = falseFlags(lateMeter(still, 0, 1), still, 2);
    expect(flagged.flags).toBe(1);
    expect(flagged.steadyShare).toBeLessThan(1);
    expect(flagged.watchedS).toBeCloseTo(10, 0);
  });

  it('has no false flags to count of a meter that never settles, and says how seldom it was steady', () => {
    const never: Analyser = {
      ...naiveAnalyser,
      live: (setup) => {
        const meter = naiveAnalyser.live(setup);
        return {
          push: meter.push,
          reading: () => {
            const reading = meter.reading();
            return {
              ...reading,
              cylinders: reading.cylinders.map((c) => ({ ...c, settling: 'settling' as const })),
            };
          },
        };
      },
    };
    expect(falseFlags(never, still, 2)).toMatchObject({ flags: 0, steadyShare: 0 });
  });
});

describe('residual pulsation', () => {
  it('a first-order damper passes 90 % of a step in the time it was made for', () => {
    const timeS = Float64Array.from({ length: 2001 }, (_, i) => i / 1000);
    const step = timeS.map((t) => (t < 0.001 ? 0 : 1));
    const damped = dampedKpa(timeS, step, damperTimeConstantS(0.4));
    expect(damped[400]).toBeLessThan(0.9);
    expect(damped[402]).toBeGreaterThan(0.9);
  });

  it('a damper leaves of a sine what theory says: 1 / sqrt(1 + (2 pi f tau)^2)', () => {
    const timeS = Float64Array.from({ length: 20_000 }, (_, i) => i / 2000);
    const sine = timeS.map((t) => Math.sin(2 * Math.PI * 8 * t));
    const damped = dampedKpa(timeS, sine, 0.15).subarray(10_000);
    expect(Math.max(...damped)).toBeCloseTo(1 / Math.hypot(1, 2 * Math.PI * 8 * 0.15), 3);
  });

  it('a moving average is the mean of its window', () => {
    const timeS = Float64Array.of(0, 1, 2, 3, 4);
    expect(Array.from(movingAverageKpa(timeS, Float64Array.of(2, 4, 6, 8, 10), 2))).toEqual([2, 3, 5, 7, 9]);
  });

  it('compares a meter with the damper that is as quick', () => {
    const still = fourierEngine({ ...spec, levelSteps: [] });
    const figures = residualPulsation(lateMeter(still, 0, 1e9, 0.1), still, 1, 2, 0.3);
    expect(figures.displayedKpa).toBeCloseTo(0.1 / Math.SQRT2, 2);
    expect(figures.damperKpa).toBeGreaterThan(0.5);
    expect(figures.damperKpa).toBeLessThan(5);
    expect(figures.timesLess).toBeCloseTo(figures.damperKpa / figures.displayedKpa, 9);
    const slow = residualPulsation(lateMeter(still, 0, 1e9, 0.1), still, 1, 2, 3);
    expect(slow.damperKpa).toBeLessThan(figures.damperKpa / 5);
  });
});

it('plays a recording row by row, and stops when told to', () => {
  const recording = fourierEngine({ ...spec, durationS: 2 });
  const seen: number[] = [];
  playLive(naiveAnalyser, recording, 0.25, (timeS, reading) => {
    expect(reading.timeS).toBe(timeS);
    seen.push(timeS);
    return seen.length < 4;
  });
  expect(seen).toHaveLength(4);
  expect(seen[3]).toBeCloseTo(1, 1);
});
