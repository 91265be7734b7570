import { describe, expect, it } from 'vitest';
import { CALIBRATION_REFUSALS } from '../../calibration/calibration-refusals.ts';
import { MPX4115A } from '../../calibration/sensor-types.ts';
import { zeroChannels } from '../../calibration/zero.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import { type FaultySensor, randomSensor, recordOf, sensedKpa } from './hand-pump.ts';

const RATE_HZ = 250;
const AIR = { kpa: 100.2, standardUncertaintyKpa: 0.1 };
const TYPES = [MPX4115A, MPX4115A, MPX4115A];

function sensorsOf(seed: number, noiseKpa = 0.1): FaultySensor[] {
  const random = seededRandom(seed, 21);
  return TYPES.map((type) => randomSensor(type, random, noiseKpa));
}

function record(
  sensors: readonly FaultySensor[],
  pressure: (channel: number, row: number) => number,
  { seconds = 3, seed = 1 } = {},
) {
  return recordOf(sensors, pressure, seconds * RATE_HZ, RATE_HZ, 1023, seededRandom(seed, 22));
}

const still = () => AIR.kpa;

function refusal(...given: Parameters<typeof zeroChannels>) {
  const found = zeroChannels(...given);
  if (found.ok) throw new Error('It was not refused');
  return found;
}

describe('zeroing against the barometric pressure', () => {
  it('takes each sensor’s own error out', () => {
    const sensors = sensorsOf(1);
    const zeroing = zeroChannels(record(sensors, still), AIR, TYPES);
    if (!zeroing.ok) throw new Error(zeroing.code);
    sensors.forEach((sensor, channel) => {
      const error = sensedKpa(sensor, AIR.kpa) - AIR.kpa;
      expect(zeroing.shiftKpa[channel]! + error).toBeCloseTo(0, 1);
      expect(Math.abs(zeroing.shiftKpa[channel]! + error)).toBeLessThan(
        4 * zeroing.ownUncertaintyKpa[channel]!,
      );
      expect(zeroing.shiftUncertaintyKpa[channel]!).toBeCloseTo(
        Math.hypot(0.1, zeroing.ownUncertaintyKpa[channel]!),
        12,
      );
    });
  });

  it('states an uncertainty of its own that covers the truth in 93 to 98 % of 600 sensors (seeds 1 to 200)', () => {
    let covered = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const sensors = sensorsOf(seed);
      const zeroing = zeroChannels(record(sensors, still, { seed }), AIR, TYPES);
      if (!zeroing.ok) throw new Error(`seed ${seed}: ${zeroing.code} ${zeroing.detail}`);
      sensors.forEach((sensor, channel) => {
        const left = sensedKpa(sensor, AIR.kpa) + zeroing.shiftKpa[channel]! - AIR.kpa;
        if (Math.abs(left) <= 2 * zeroing.ownUncertaintyKpa[channel]!) covered++;
      });
    }
    expect(covered / 600).toBeGreaterThan(0.93);
    expect(covered / 600).toBeLessThan(0.98);
  });

  it('works with a noiseless sensor that shows one count all the time', () => {
    const zeroing = zeroChannels(record(sensorsOf(3, 0), still), AIR, TYPES);
    if (!zeroing.ok) throw new Error(zeroing.code);
    // One count is 0.109 kPa: nothing finer than 0.109/√12 can be claimed.
    for (const own of zeroing.ownUncertaintyKpa) expect(own).toBeCloseTo(0.1086 / Math.sqrt(12), 2);
  });

  it('refuses a record of less than two seconds', () => {
    expect(refusal(record(sensorsOf(1), still, { seconds: 1 }), AIR, TYPES)).toMatchObject({
      code: 'zero-too-short',
    });
    expect(refusal(record(sensorsOf(1), still, { seconds: 0 }), AIR, TYPES).code).toBe('zero-too-short');
  });

  it('refuses a running engine, a pressure that creeps and a hose that is taken off meanwhile', () => {
    const running = record(sensorsOf(1), (channel, row) =>
      channel === 1 ? 70 + 25 * Math.sin((2 * Math.PI * 8 * row) / RATE_HZ) : AIR.kpa,
    );
    expect(refusal(running, AIR, TYPES)).toMatchObject({ channel: 1, code: 'zero-moving' });
    const creeping = record(sensorsOf(1), (channel, row) => (channel === 2 ? AIR.kpa - row / 500 : AIR.kpa));
    expect(refusal(creeping, AIR, TYPES)).toMatchObject({ channel: 2, code: 'zero-moving' });
    const step = record(sensorsOf(1), (channel, row) => (channel === 0 && row > 300 ? AIR.kpa - 2 : AIR.kpa));
    expect(refusal(step, AIR, TYPES)).toMatchObject({ channel: 0, code: 'zero-moving' });
  });

  it('refuses a noisy sensor, a wrong pressure and a sensor far from the air', () => {
    const noisy = sensorsOf(1).map((sensor, channel) => ({ ...sensor, noiseKpa: channel === 1 ? 2 : 0.1 }));
    expect(refusal(record(noisy, still), AIR, TYPES)).toMatchObject({ channel: 1, code: 'zero-noisy' });
    expect(refusal(record(sensorsOf(1), still), { ...AIR, kpa: 1002 }, TYPES).code).toBe(
      'barometric-implausible',
    );
    expect(refusal(record(sensorsOf(1), still), { ...AIR, kpa: Number.NaN }, TYPES).code).toBe(
      'barometric-implausible',
    );
    const capped = record(sensorsOf(1), (channel) => (channel === 2 ? 60 : AIR.kpa));
    expect(refusal(capped, AIR, TYPES)).toMatchObject({ channel: 2, code: 'zero-implausible' });
    // 5.5 kPa are too much for a sensor of ±1.5 kPa, unless the air pressure itself was guessed to 2 kPa.
    const weather = record(sensorsOf(1), () => AIR.kpa + 5.5);
    expect(refusal(weather, AIR, TYPES).code).toBe('zero-implausible');
    expect(zeroChannels(weather, { ...AIR, standardUncertaintyKpa: 2 }, TYPES).ok).toBe(true);
  });

  it('refuses a dead and a missing channel', () => {
    const whole = record(sensorsOf(1), still);
    const dead = { ...whole, saturatedShare: [0, 1, 0] };
    expect(refusal(dead, AIR, TYPES)).toMatchObject({ channel: 1, code: 'channel-saturated' });
    const gone = [...whole.absoluteKpa];
    gone[2] = Array.from(gone[2]!, () => Number.NaN);
    expect(refusal({ ...whole, absoluteKpa: gone }, AIR, TYPES)).toMatchObject({
      channel: 2,
      code: 'channel-missing',
    });
    expect(() => zeroChannels(whole, AIR, [MPX4115A])).toThrow(RangeError);
  });
});

describe('refusals', () => {
  it('all have a sentence and what to do', () => {
    for (const [code, { message, whatToDo }] of Object.entries(CALIBRATION_REFUSALS)) {
      expect(code).toMatch(/^[a-z]+(-[a-z]+)+$/);
      expect(message).toMatch(/^[A-Z].*\.$/);
      expect(whatToDo).toMatch(/^[A-Z].*\.$/);
    }
  });
});
