import { describe, expect, it } from 'vitest';
import { Instrument } from '../../../server/signal/instrument.ts';
import type { Reading, SensorState } from '../../../server/signal/reading.ts';
import type { Engine } from '../../engines/engine-recording.ts';
import type { EngineSpec } from '../../engines/engine-spec.ts';
import { fourierEngine } from '../../engines/fourier-engine.ts';
import { layoutNamed } from '../../engines/layouts.ts';
import { refillEngine } from '../../engines/refill-engine.ts';
import { seededRandom } from '../../engines/seeded-random.ts';
import { setupOf } from '../../truth/analyse-recording-of.ts';
import { playedLive, withColumn } from './played-live.ts';

const SEED = 51;
const LOST_S = 3.2;
const spec: EngineSpec = {
  seed: SEED,
  durationS: 7,
  sampleRateHz: 500,
  intakeAnglesDeg: [0, 180],
  rpm: 1000,
  cycleScatter: 0.01,
  depthScatter: 0.02,
  noiseKpa: 0.1,
  bits: 10,
};

describe.each<[string, Engine]>([
  ['refill', refillEngine],
  ['fourier', fourierEngine],
])(`on the %s engine, seed ${SEED}`, (_, engine) => {
  describe.each([0, 1])('the sensor of cylinder index %i', (channel) => {
    it('lost in the middle: no value within a second, never one again, and the other goes on', () => {
      const recording = withColumn(engine(spec), channel, (kpa, timeS) =>
        timeS < LOST_S ? kpa : Number.NaN,
      );
      let shownAtS = 0;
      let looks = 0;
      playedLive(recording, {
        everyS: 0.02,
        look: ({ cylinders, engine: shown }, timeS) => {
          if (timeS < 1.5) return;
          looks++;
          if (cylinders[channel]!.vacuumKpa !== null) shownAtS = timeS;
          if (timeS > LOST_S + 1) expect(cylinders[channel]).toMatchObject(nothingShown('dead'));
          expect(cylinders[1 - channel]!.vacuumKpa).not.toBeNull();
          expect(shown.running).toBe(true);
        },
      });
      expect(looks).toBeGreaterThan(200);
      expect(shownAtS).toBeGreaterThan(LOST_S - 0.1);
      expect(shownAtS).toBeLessThan(LOST_S + 1);
    });

    it('back after two seconds: a gap again within two more', () => {
      const backS = LOST_S + 2;
      const recording = withColumn(engine(spec), channel, (kpa, timeS) =>
        timeS < LOST_S || timeS > backS ? kpa : Number.NaN,
      );
      const { cylinders } = playedLive(recording).reading();
      expect(cylinders.map((one) => one.sensor)).toEqual(['ok', 'ok']);
      for (const one of cylinders) expect(one.gapKpa).not.toBeNull();
    });
  });

  it('all sensors lost: within a second nothing runs and nothing is shown', () => {
    const recording = engine(spec);
    const kpa = recording.kpa.map((column) =>
      column.map((value, row) => (recording.timeS[row]! < LOST_S ? value : Number.NaN)),
    );
    playedLive({ ...recording, kpa }, { everyS: 0.05, look: expectStoppedAfter(LOST_S + 1, 'dead') });
  });

  it.each<[SensorState, 'off' | 'blocked', number]>([
    ['open-to-air', 'off', 6],
    ['blocked', 'blocked', 6],
  ])('a hose that is %s from the middle on is known as such within six seconds', (state, kind, withinS) => {
    const recording = engine({ ...spec, durationS: 11, faults: [{ channel: 1, fromS: LOST_S, kind }] });
    playedLive(recording, {
      everyS: 0.1,
      look: ({ cylinders }, timeS) => {
        expect(cylinders[0]!.sensor === 'ok' || timeS < 1).toBe(true);
        if (timeS > LOST_S + withinS) expect(cylinders[1]).toMatchObject(nothingShown(state));
      },
    });
  });

  it('a sensor that freezes or runs into the end of its range is known as such within a second and a quarter', () => {
    for (const [state, value] of [
      ['dead', 61.3],
      ['saturated', 115],
    ] as const) {
      const recording = withColumn(engine(spec), 1, (kpa, timeS) => (timeS < LOST_S ? kpa : value));
      const sensorRanges = [null, { lowestKpa: 15, highestKpa: 115 }];
      playedLive(recording, {
        sensorRanges,
        everyS: 0.05,
        look: ({ cylinders }, timeS) => {
          if (timeS > LOST_S + 1.25) expect(cylinders[1]).toMatchObject(nothingShown(state));
        },
      });
    }
  });

  it.each(['single', 'twin 360', 'triple 240', 'four 180'])(
    'a %s that stops: within two seconds it does not run, and no figure is left',
    (layout) => {
      const recording = engine({ ...spec, intakeAnglesDeg: layoutNamed(layout).intakeAnglesDeg });
      const random = seededRandom(SEED, 3);
      const kpa = recording.kpa.map((column) =>
        column.map((value, row) => (recording.timeS[row]! < LOST_S ? value : 101.3 + 0.1 * random.normal())),
      );
      playedLive({ ...recording, kpa }, { everyS: 0.05, look: expectStoppedAfter(LOST_S + 2, 'no-pulse') });
    },
  );

  it.each([
    ['goes on', 0],
    ['begins at 0 again', -LOST_S],
    ['jumps ahead', 40],
  ])(
    'after a break in which time %s nothing is shown until it is measured anew, and then the same',
    (__, shiftS) => {
      const recording = engine(spec);
      const whole = playedLive(recording).reading();
      const instrument = new Instrument(setupOf(recording));
      const row = new Float64Array(2);
      let anewS = Number.NaN;
      recording.timeS.forEach((recordedS, index) => {
        const timeS = recordedS < LOST_S ? recordedS : recordedS + shiftS;
        if (index === Math.round(LOST_S * spec.sampleRateHz)) {
          instrument.breakInSamples();
          const reading = instrument.reading();
          expect(reading).toMatchObject({ timeS: null, spreadKpa: null, swappedHoses: null });
          for (const one of reading.cylinders) expect(one).toMatchObject(nothingShown('no-pulse'));
        }
        recording.kpa.forEach((column, channel) => {
          row[channel] = column[index]!;
        });
        instrument.push(timeS, row);
        if (recordedS > LOST_S && Number.isNaN(anewS) && instrument.reading().cylinders[1]!.gapKpa !== null)
          anewS = recordedS;
      });
      expect(anewS - LOST_S).toBeLessThan(1);
      instrument.reading().cylinders.forEach((one, cylinder) => {
        expect(Math.abs(one.gapKpa! - whole.cylinders[cylinder]!.gapKpa!)).toBeLessThan(0.3);
      });
    },
  );
});

function nothingShown(sensor: SensorState) {
  return {
    sensor,
    vacuumKpa: null,
    vacuumSdKpa: null,
    vacuumStandardErrorKpa: null,
    vacuumExpandedKpa: null,
    gapKpa: null,
    gapExpandedKpa: null,
    lastCycleKpa: null,
    peakVacuumKpa: null,
    pulseDepthKpa: null,
    missedPulsesPerMinute: null,
    cycles: 0,
    verdict: 'not-sure',
  };
}

/** Runs until shortly before, and from that moment on never again. */
function expectStoppedAfter(stoppedS: number, sensor: SensorState) {
  return (reading: Reading, timeS: number): void => {
    if (timeS > 1 && timeS < LOST_S) expect(reading.engine.running).toBe(true);
    if (timeS < stoppedS) return;
    expect(reading.engine).toMatchObject({ running: false, speedRpm: null, idleRpm: null });
    expect(reading).toMatchObject({ spreadKpa: null, spreadExpandedKpa: null, verdict: 'not-sure' });
    expect(reading).toMatchObject({ cyclesNeeded: null });
    expect(reading.roughness).toMatchObject({ score: null, cycleLengthCovPercent: null, hunting: null });
    for (const one of reading.cylinders) expect(one).toMatchObject(nothingShown(sensor));
  };
}
