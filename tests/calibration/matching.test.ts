import { describe, expect, it } from 'vitest';
import { blockMeans } from '../../calibration/block-means.ts';
import { matchChannels } from '../../calibration/matching.ts';
import { findPlateaus } from '../../calibration/plateaus.ts';
import { noiseOfSeries } from '../../calibration/robust-scatter.ts';
import { MPX4115A, MPX4250A } from '../../calibration/sensor-types.ts';
import { SETTLING_S, stepMeans } from '../../calibration/step-means.ts';
import { seededRandom } from '../engines/seeded-random.ts';
import {
  type FaultySensor,
  type PumpRun,
  pumpRecord,
  randomSensor,
  recordOf,
  sensedKpa,
  sourceKpa,
  USUAL_RUN,
} from './hand-pump.ts';

function sensorsOf(seed: number, count = 4, noiseKpa = 0.1): FaultySensor[] {
  const random = seededRandom(seed, 31);
  return Array.from({ length: count }, () => randomSensor(MPX4115A, random, noiseKpa));
}

function matchingOf(sensors: readonly FaultySensor[], run: PumpRun = USUAL_RUN, seed = 1) {
  return matchChannels(pumpRecord(sensors, run, seededRandom(seed, 32)));
}

/** The source as `channel` meets it, when something is wrong with its hose. */
function withHose(
  sensors: readonly FaultySensor[],
  channel: number,
  meets: (sourceKpa: number, row: number) => number,
) {
  const random = seededRandom(7, 33);
  const source = sourceKpa(USUAL_RUN, random);
  return matchChannels(
    recordOf(
      sensors,
      (which, row) => (which === channel ? meets(source[row]!, row) : source[row]!),
      source.length,
      USUAL_RUN.sampleRateHz,
      1023,
      random,
    ),
  );
}

describe('steady steps in a record', () => {
  it('are found where they were held, in the order of time', () => {
    const random = seededRandom(1, 34);
    const record = pumpRecord(sensorsOf(1), USUAL_RUN, random);
    const plateaus = findPlateaus(blockMeans(record.timeS, record.absoluteKpa));
    expect(plateaus.map(({ meanKpa }) => Math.round(meanKpa / 5) * 5)).toEqual(USUAL_RUN.stepsKpa);
    plateaus.forEach(({ fromS, toS }, step) => {
      const heldFromS = step * (USUAL_RUN.holdS + USUAL_RUN.moveS);
      expect(Math.abs(fromS - heldFromS)).toBeLessThan(0.35);
      expect(Math.abs(toS - heldFromS - USUAL_RUN.holdS)).toBeLessThan(0.35);
    });
  });

  it('with a bump in it are one, and two levels are two', () => {
    const timeS = Array.from({ length: 600 }, (_, row) => row / 50);
    const bump = timeS.map((t) => (t > 5.9 && t < 6.1 ? 43 : 40));
    expect(findPlateaus(blockMeans(timeS, [bump]))).toHaveLength(1);
    const levels = timeS.map((t) => (t < 6 ? 40 : 43));
    expect(findPlateaus(blockMeans(timeS, [levels])).map(({ meanKpa }) => meanKpa)).toEqual([40, 43]);
  });

  it('are none in a slide, in nothing, and none across a hole in the record', () => {
    const timeS = Array.from({ length: 600 }, (_, row) => row / 50);
    expect(findPlateaus(blockMeans(timeS, [timeS.map((t) => 100 - 4 * t)]))).toEqual([]);
    expect(findPlateaus(blockMeans([], [[]]))).toEqual([]);
    const torn = timeS.map((t) => (Math.floor(t) % 2 === 0 ? t : t + 100));
    expect(findPlateaus(blockMeans(torn, [timeS.map(() => 40)]))).toEqual([]);
    expect(noiseOfSeries([1, 2])).toBe(0);
  });
});

describe('the uncertainty of a step', () => {
  /** Stated uncertainty of each channel, mean over the steps. */
  function statedOf(sensors: readonly FaultySensor[], run: PumpRun, fullScaleCounts: number) {
    const record = pumpRecord(sensors, run, seededRandom(1, 36), fullScaleCounts);
    const means = stepMeans(record, findPlateaus(blockMeans(record.timeS, record.absoluteKpa)));
    const rows = (run.holdS - SETTLING_S) * run.sampleRateHz;
    return {
      rows,
      kpa: means.uncertaintyKpa.map((row) => row.reduce((sum, u) => sum + u, 0) / row.length),
    };
  }

  it('is that of the channel’s own noise, and the hand that trembles for all alike has no part in it', () => {
    const noises = [0.05, 0.1, 0.2, 0.4];
    const sensors = sensorsOf(8).map((sensor, channel) => ({ ...sensor, noiseKpa: noises[channel]! }));
    const trembling = { ...USUAL_RUN, holdS: 6, wobbleKpa: 0.15 };
    const { kpa, rows } = statedOf(sensors, trembling, 65_535);
    noises.forEach((noise, channel) => {
      const ratio = kpa[channel]! / (noise / Math.sqrt(rows));
      expect(ratio, `channel ${channel}`).toBeGreaterThan(0.85);
      expect(ratio, `channel ${channel}`).toBeLessThan(1.3);
    });
  });

  it('of a quiet sensor is what a coarse converter leaves of it', () => {
    const quiet = { ...USUAL_RUN, leakKpaS: 0, wobbleKpa: 0 };
    const { kpa } = statedOf(sensorsOf(9, 4, 0), quiet, 255);
    // One count is 1/255/0.009 = 0.436 kPa.
    for (const u of kpa) expect(u).toBeCloseTo(0.436 / Math.sqrt(12), 2);
  });
});

describe('matching the channels on one source', () => {
  it('brings channels that differ by kilopascals together', () => {
    const sensors = sensorsOf(2);
    const matching = matchingOf(sensors);
    if (!matching.ok) throw new Error(`${matching.code} ${matching.detail}`);
    for (const trueKpa of [30, 40, 50, 60]) {
      const raw = sensors.map((sensor) => sensedKpa(sensor, trueKpa));
      const matched = raw.map((kpa, channel) => matching.gain[channel]! * kpa + matching.offsetKpa[channel]!);
      expect(Math.max(...raw) - Math.min(...raw)).toBeGreaterThan(0.5);
      expect(Math.max(...matched) - Math.min(...matched)).toBeLessThan(0.03);
      // Onto the mean of them all.
      const mean = raw.reduce((sum, kpa) => sum + kpa, 0) / raw.length;
      expect(matched[0]!).toBeCloseTo(mean, 1);
    }
    expect(matching.steps).toHaveLength(USUAL_RUN.stepsKpa.length);
    expect(matching.degreesOfFreedom).toBe(3 * (USUAL_RUN.stepsKpa.length - 2));
    for (const step of matching.steps) expect(Math.max(...step.residualKpa.map(Math.abs))).toBeLessThan(0.05);
    expect(matching.curvatureSdKpa).toBe(0);
  });

  it('works with two, three and eight hoses, sensors of different types and missing samples', () => {
    for (const count of [2, 3, 8]) expect(matchingOf(sensorsOf(3, count)).ok).toBe(true);
    const random = seededRandom(4, 31);
    const mixed = [MPX4115A, MPX4250A, MPX4115A].map((type) => randomSensor(type, random, 0.2));
    expect(matchingOf(mixed).ok).toBe(true);
    const record = pumpRecord(sensorsOf(5), USUAL_RUN, random);
    const holed = record.absoluteKpa.map((column, channel) =>
      Float64Array.from(column, (kpa, row) => ((row + channel) % 9 === 0 ? Number.NaN : kpa)),
    );
    expect(matchChannels({ ...record, absoluteKpa: holed }).ok).toBe(true);
  });

  it('shows a bent sensor as curvature, and lays it on the readings', () => {
    const sensors = sensorsOf(6).map((sensor, channel) => ({ ...sensor, bowKpa: channel === 0 ? 0.4 : 0 }));
    const matching = matchingOf(sensors);
    if (!matching.ok) throw new Error(matching.code);
    expect(matching.curvatureSdKpa).toBeGreaterThan(0.03);
    expect(matching.residualSdKpa[0]).toBe(Math.max(...matching.residualSdKpa));
  });
});

describe('a matching is refused, with the hose to blame, when', () => {
  it('there is one hose', () => {
    expect(matchingOf(sensorsOf(1, 1))).toMatchObject({ ok: false, code: 'match-too-few-channels' });
  });

  it('there are three steps', () => {
    expect(matchingOf(sensorsOf(1), { ...USUAL_RUN, stepsKpa: [100, 60, 30] })).toMatchObject({
      ok: false,
      code: 'match-too-few-steps',
    });
  });

  it('the steps span 15 kPa, or nothing moves at all', () => {
    const narrow = { ...USUAL_RUN, stepsKpa: [60, 56, 52, 48, 45] };
    expect(matchingOf(sensorsOf(1), narrow)).toMatchObject({ ok: false, code: 'match-span-too-small' });
    expect(matchingOf(sensorsOf(1), { ...USUAL_RUN, stepsKpa: [100] })).toMatchObject({
      ok: false,
      code: 'match-span-too-small',
    });
  });

  it('the source leaks', () => {
    expect(matchingOf(sensorsOf(1), { ...USUAL_RUN, leakKpaS: 1.5 })).toMatchObject({
      ok: false,
      code: 'match-source-drifts',
    });
  });

  it('the steps are not held', () => {
    expect(matchingOf(sensorsOf(1), { ...USUAL_RUN, holdS: 0.5, moveS: 2 })).toMatchObject({
      ok: false,
      code: 'match-source-drifts',
    });
  });

  it('a sensor is dead, at an end of the converter or silent', () => {
    expect(withHose(sensorsOf(1), 2, () => 45)).toMatchObject({ code: 'match-channel-dead', channel: 2 });
    const record = pumpRecord(sensorsOf(1), USUAL_RUN, seededRandom(1, 35));
    expect(matchChannels({ ...record, saturatedShare: [0, 0, 0, 1] })).toMatchObject({
      code: 'channel-saturated',
      channel: 3,
    });
    const columns = [...record.absoluteKpa];
    columns[1] = new Float64Array(record.timeS.length).fill(Number.NaN);
    expect(matchChannels({ ...record, absoluteKpa: columns })).toMatchObject({
      code: 'channel-missing',
      channel: 1,
    });
  });

  it('a hose is off, or follows something else', () => {
    expect(withHose(sensorsOf(1), 1, () => 101)).toMatchObject({ code: 'match-channel-apart', channel: 1 });
    const other = withHose(sensorsOf(1), 3, (kpa, row) => kpa + 12 * Math.sin(row / 576));
    expect(other).toMatchObject({ code: 'match-channel-apart', channel: 3 });
    const pair = withHose(sensorsOf(1, 2), 1, (kpa, row) => kpa + 12 * Math.sin(row / 576));
    expect(pair).toMatchObject({ code: 'match-channel-apart', channel: null });
  });

  it('a hose leaks, so that its sensor moves by too little', () => {
    expect(withHose(sensorsOf(1), 0, (kpa) => 100 + 0.7 * (kpa - 100))).toMatchObject({
      code: 'match-gain-implausible',
      channel: 0,
    });
  });

  it('a hose disagrees from step to step', () => {
    const loose = withHose(
      sensorsOf(1),
      2,
      (kpa, row) => kpa + (Math.floor(row / 608) % 2 === 0 ? 1.2 : -1.2),
    );
    expect(loose).toMatchObject({ code: 'match-scatter-large', channel: 2 });
  });
});
