import { describe, expect, it } from 'vitest';
import { simulate } from '../../../../server/practice/simulate.ts';
import { crankingCheck } from '../../../../server/signal/condition/cranking-check.ts';
import { keyOffCheck } from '../../../../server/signal/condition/key-off-check.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';

function still(levels: readonly number[], seed = 1): number[][] {
  const random = seededRandom(seed, 94);
  return levels.map((level) => Array.from({ length: 200 }, () => level + 0.1 * random.normal()));
}

describe('a key-off check', () => {
  const barometricKpa = { value: 100, standardUncertainty: 0.1 };

  it('names the one channel that misses the barometric pressure', () => {
    const { channels, spreadKpa } = keyOffCheck({
      kpa: still([100.1, 101.5, 99.9]),
      barometricKpa,
      channelUncertaintyKpa: [0.1, 0.1, 0.1],
    });
    expect(channels.map(({ verdict }) => verdict)).toEqual(['not-found', 'found', 'not-found']);
    expect(channels[1]!.offsetKpa!.value).toBeCloseTo(1.5, 1);
    expect(spreadKpa).toBeCloseTo(1.6, 1);
  });

  it('lets an offset pass that the sensors’ uncertainty explains', () => {
    const input = { kpa: still([100, 101.5]), barometricKpa, channelUncertaintyKpa: [1, 1] };
    expect(keyOffCheck(input).channels.every(({ verdict }) => verdict === 'not-found')).toBe(true);
  });

  it('blames the barometric pressure when all miss it alike', () => {
    const input = { kpa: still([97.1, 97, 96.9]), barometricKpa, channelUncertaintyKpa: [0.1, 0.1, 0.1] };
    const { channels, whatToDo } = keyOffCheck(input);
    expect(channels.every(({ reason }) => reason === 'barometric-off')).toBe(true);
    expect(whatToDo).toContain('barometer');
  });

  it('cannot tell while the pressure moves or without samples', () => {
    const moving = [Array.from({ length: 200 }, (_, at) => 70 + 20 * Math.sin(at))];
    expect(
      keyOffCheck({ kpa: moving, barometricKpa, channelUncertaintyKpa: [0.1] }).channels[0]!.reason,
    ).toBe('not-still');
    const none = [Array.from({ length: 200 }, () => Number.NaN)];
    expect(keyOffCheck({ kpa: none, barometricKpa, channelUncertaintyKpa: [0.1] }).channels[0]!.reason).toBe(
      'too-few-samples',
    );
    expect(() => keyOffCheck({ kpa: none, barometricKpa, channelUncertaintyKpa: [] })).toThrow(
      '1 channels and 0',
    );
  });
});

describe('a cranking check', () => {
  /** Turned by the starter from 2 s to 8 s with the ignition off. */
  function cranked(leakMm: number[], cranks = true) {
    const run = simulate(
      {
        layout: 'four-inline',
        seed: 3,
        sampleRateHz: 200,
        warmUpS: 0.5,
        taps: { noiseKpa: 0.1, lagS: 0.002 },
        controls: { ignition: false, leakMm },
        scriptEveryS: 0.1,
        script: (bench, timeS) => {
          bench.engine.starter = cranks && timeS > 2 && timeS < 8;
        },
      },
      9,
    );
    return crankingCheck(
      run.timeS,
      run.kpa.map((column) => column.map((value) => 101.325 - value)),
    );
  }

  it('calls cylinders alike that pull alike, and finds one that takes in air', () => {
    expect(cranked([0, 0, 0, 0]).cylinders.map(({ verdict }) => verdict)).toEqual(Array(4).fill('not-found'));
    const { cylinders, crankedS } = cranked([0, 0, 5, 0]);
    expect(cylinders.map(({ verdict }) => verdict)).toEqual(['not-found', 'not-found', 'found', 'not-found']);
    expect(crankedS).toBeGreaterThan(4);
    expect(crankedS).toBeLessThan(7.6);
    expect(cylinders[2]!.whatToDo).toContain('clearances');
  });

  it('cannot tell when nobody cranked, when the engine ran, or with one cylinder', () => {
    expect(cranked([0, 0, 0, 0], false).cylinders[0]!.reason).toBe('not-cranked');
    const timeS = Array.from({ length: 800 }, (_, at) => at / 100);
    const idling = timeS.map((t) => 42 + 15 * Math.sin(2 * Math.PI * 8 * t));
    expect(crankingCheck(timeS, [idling, idling]).cylinders[0]!.reason).toBe('engine-ran');
    const turned = timeS.map((t) => 12 + 10 * Math.sin(2 * Math.PI * 2.1 * t));
    expect(crankingCheck(timeS, [turned]).cylinders[0]!.reason).toBe('nothing-to-compare');
    expect(crankingCheck([], [[]]).cylinders[0]!.reason).toBe('not-cranked');
  });
});
