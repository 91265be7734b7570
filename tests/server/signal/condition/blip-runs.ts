import { simulate } from '../../../../server/practice/simulate.ts';
import { type BlipResult, blipResponse } from '../../../../server/signal/condition/blip-response.ts';
import type { BlipRecord } from '../../../../server/signal/condition/throttle-blips.ts';
import { spotSeries } from '../../../../server/signal/leak/spot-series.ts';
import { LAYOUTS } from '../../../engines/layouts.ts';
import { refillEngine } from '../../../engines/refill-engine.ts';
import { type SeededRandom, seededRandom } from '../../../engines/seeded-random.ts';
import { cyclesOf } from '../leak/engine-cycles.ts';

export interface BlipRun {
  readonly cylinders: number;
  /** 0-based, or null. */
  readonly torn: number | null;
  readonly blipsS: readonly number[];
  readonly record: BlipRecord;
  readonly result: BlipResult;
}

const PRACTICE = [
  { layout: 'twin-180', cylinders: 2 },
  { layout: 'triple-120', cylinders: 3 },
  { layout: 'four-inline', cylinders: 4 },
];

/** Four blips by hand, four to five seconds apart. */
function byHand(random: SeededRandom): { blipsS: number[]; durationS: number } {
  const blipsS = [random.between(3, 4)];
  while (blipsS.length < 4) blipsS.push(blipsS.at(-1)! + random.between(4, 5));
  return { blipsS, durationS: blipsS.at(-1)! + 4 };
}

/** The practice engine, whose slides have their own law; smooth, or with missed and scattered firings. */
export function blipInPractice(seed: number, rough: boolean): BlipRun {
  const random = seededRandom(seed, 91);
  const { layout, cylinders } = PRACTICE[seed % PRACTICE.length]!;
  const torn = random.uniform() < 0.5 ? random.index(cylinders) : null;
  const { blipsS, durationS } = byHand(random);
  let next = 0;
  const run = simulate(
    {
      layout,
      seed,
      sampleRateHz: 250,
      warmUpS: 2,
      taps: { noiseKpa: random.between(0.05, 0.2), lagS: random.between(0.001, 0.004) },
      controls: {
        idleTurns: random.between(4.3, 5.5),
        tornDiaphragm: Array.from({ length: cylinders }, (_, cylinder) => cylinder === torn),
        combustionScatter: rough ? 0.2 : 0.08,
        missedFiring: Array.from({ length: cylinders }, () => (rough ? 0.03 : 0)),
      },
      scriptEveryS: 0.05,
      script: (bench, timeS) => {
        if (next >= blipsS.length || timeS < blipsS[next]!) return;
        bench.blip(random.between(0.3, 0.6));
        next++;
      },
    },
    durationS,
  );
  return judged(run.timeS, run.kpa, 101.325, torn, blipsS);
}

/**
 * Engines of another make, not used to choose any limit: refilling ports, each behind a throttle and a slide that follow
 * the hand with a lag of its own; a torn slide lags much more and never gets far.
 */
export function blipOfRefilling(seed: number, rough: boolean): BlipRun {
  const random = seededRandom(seed, 92);
  const several = LAYOUTS.filter(
    ({ strokes, intakeAnglesDeg }) => strokes === 4 && intakeAnglesDeg.length > 1,
  );
  const { intakeAnglesDeg } = several[seed % several.length]!;
  const cylinders = intakeAnglesDeg.length;
  const torn = random.uniform() < 0.5 ? random.index(cylinders) : null;
  const { blipsS, durationS } = byHand(random);
  const hand = blipsS.map((startS) => ({
    startS,
    endS: startS + random.between(0.35, 0.6),
    factor: random.between(12, 25),
    rise: random.between(0.8, 2.2),
  }));
  const slides = intakeAnglesDeg.map((_, cylinder) => {
    const lagS = cylinder === torn ? random.between(0.3, 0.8) : random.between(0.03, 0.05);
    const most = cylinder === torn ? random.between(0.1, 0.3) : random.between(0.92, 1.08);
    return (timeS: number): number =>
      hand.reduce((open, { startS, endS, factor }) => {
        const risen = 1 - Math.exp(-Math.max(0, Math.min(timeS, endS) - startS) / lagS);
        const left = timeS > endS ? Math.exp(-(timeS - endS) / 0.03) : 1;
        return open + (factor - 1) * most * risen * left;
      }, 1);
  });
  const idleRpm = random.between(850, 1300);
  const rpm = (timeS: number): number =>
    hand.reduce((speed, { startS, endS, rise }) => {
      if (timeS < startS) return speed;
      const up = 1 - Math.exp(-(Math.min(timeS, endS) - startS) / 0.25);
      const down = timeS > endS ? Math.exp(-(timeS - endS) / 0.55) : 1;
      return speed + idleRpm * rise * up * down;
    }, idleRpm);
  const { timeS, kpa, truth } = refillEngine({
    seed,
    durationS,
    sampleRateHz: 250,
    intakeAnglesDeg,
    noiseKpa: random.between(0.05, 0.2),
    bits: 10,
    cycleScatter: rough ? 0.02 : 0.006,
    wander: { sd: rough ? 0.01 : 0.003, correlation: 0.9 },
    depthScatter: rough ? 0.05 : 0.02,
    missedChance: rough ? 0.02 : 0,
    opening: intakeAnglesDeg.map(() => random.between(0.85, 1.15)),
    slides,
    rpm,
  });
  return judged(timeS, kpa, truth.baroKpa, torn, blipsS);
}

export interface BlipCount {
  torn: number;
  found: number;
  sound: number;
  accused: number;
  untold: number;
}

export function blipCount(runs: readonly BlipRun[]): BlipCount {
  const count = { torn: 0, found: 0, sound: 0, accused: 0, untold: 0 };
  for (const { torn, result } of runs) {
    for (const { cylinder, verdict } of result.cylinders) {
      if (verdict === 'cannot-tell') count.untold++;
      if (cylinder === torn) {
        count.torn++;
        if (verdict === 'found') count.found++;
      } else {
        count.sound++;
        if (verdict === 'found') count.accused++;
      }
    }
  }
  return count;
}

function judged(
  timeS: Float64Array,
  kpa: readonly Float64Array[],
  barometricKpa: number,
  torn: number | null,
  blipsS: readonly number[],
): BlipRun {
  const series = spotSeries(cyclesOf(timeS, kpa, barometricKpa), 2);
  const record: BlipRecord = {
    timeS,
    vacuumKpa: kpa.map((column) => column.map((value) => barometricKpa - value)),
    cycleTimeS: series.timeS,
    cycleSpeedRpm: series.speedRpm,
    revolutions: 2,
  };
  return { cylinders: kpa.length, torn, blipsS, record, result: blipResponse(record) };
}
