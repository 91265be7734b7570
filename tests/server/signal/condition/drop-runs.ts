import { simulate } from '../../../../server/practice/simulate.ts';
import { cylinderDrop, type DropTestResult } from '../../../../server/signal/condition/cylinder-drop.ts';
import { spotSeries } from '../../../../server/signal/leak/spot-series.ts';
import { fourierEngine } from '../../../engines/fourier-engine.ts';
import { LAYOUTS } from '../../../engines/layouts.ts';
import { refillEngine } from '../../../engines/refill-engine.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';
import { cyclesOf } from '../leak/engine-cycles.ts';

export interface DropRun {
  readonly cylinders: number;
  /** 0-based, or null. */
  readonly dead: number | null;
  readonly result: DropTestResult;
}

export interface DropCount {
  dead: number;
  found: number;
  /** Cylinders called dead that are not. */
  accused: number;
  sound: number;
  untold: number;
}

export function deadFound(runs: readonly DropRun[]): DropCount {
  const count: DropCount = { dead: 0, found: 0, accused: 0, sound: 0, untold: 0 };
  for (const { dead, result } of runs) {
    for (const { cylinder, state } of result.cylinders) {
      if (state === null) count.untold++;
      if (cylinder === dead) count.dead++;
      else count.sound++;
      if (state === 'dead' && cylinder === dead) count.found++;
      if (state === 'dead' && cylinder !== dead) count.accused++;
    }
  }
  return count;
}

interface Slots {
  readonly startsS: number[];
  readonly endsS: number[];
  readonly durationS: number;
}

/** A hand that disables one cylinder after another, about every eight to twelve seconds. */
function byHand(cylinders: number, random: { between(a: number, b: number): number }): Slots {
  const paceS = random.between(8, 12);
  const waitS = random.between(4, 7);
  const startsS = Array.from(
    { length: cylinders },
    (_, slot) => waitS + paceS * (slot + random.between(-0.08, 0.08)),
  );
  const endsS = startsS.map((startS) => startS + paceS * random.between(0.45, 0.55));
  return { startsS, endsS, durationS: endsS.at(-1)! + waitS + random.between(-1, 1) };
}

const PRACTICE = [
  { layout: 'twin-180', cylinders: 2 },
  { layout: 'triple-120', cylinders: 3 },
  { layout: 'four-inline', cylinders: 4 },
  { layout: 'v-four-180', cylinders: 4 },
  { layout: 'flat-six', cylinders: 6 },
];

/** The practice engine with the ignition of one cylinder after another cut off, and perhaps one that never fires. */
export function dropInPractice(seed: number, marked: boolean): DropRun {
  const random = seededRandom(seed, 86);
  const { layout, cylinders } = PRACTICE[seed % PRACTICE.length]!;
  const dead = random.uniform() < 0.7 ? random.index(cylinders) : null;
  const missing = Array.from({ length: cylinders }, (_, cyl) => (cyl === dead ? 1 : 0));
  const slots = byHand(cylinders, random);
  const run = simulate(
    {
      layout,
      seed,
      sampleRateHz: 250,
      taps: { noiseKpa: 0.1, lagS: 0.002 },
      idleRpm: random.between(1000, 1300),
      controls: { missedFiring: missing },
      scriptEveryS: 0.05,
      script: (bench, timeS) => {
        for (let cyl = 0; cyl < cylinders; cyl++) {
          const off = timeS >= slots.startsS[cyl]! && timeS < slots.endsS[cyl]!;
          bench.controls.missedFiring[cyl] = off ? 1 : missing[cyl]!;
        }
        const anyOff = slots.startsS.some((startS, cyl) => timeS >= startS && timeS < slots.endsS[cyl]!);
        if (!anyOff && !bench.running) bench.setRunning(true);
      },
    },
    slots.durationS,
  );
  return {
    cylinders,
    dead,
    result: judged(cyclesOf(run.timeS, run.kpa, 101.325), slots, marked, random),
  };
}

/** Engines whose speed is told to fall: by a share of one over the number of cylinders, more or less. */
export function dropOfToldEngine(seed: number, marked: boolean, rough = false): DropRun {
  const random = seededRandom(seed, 87);
  const fours = LAYOUTS.filter(({ strokes, intakeAnglesDeg }) => strokes === 4 && intakeAnglesDeg.length > 1);
  const { intakeAnglesDeg } = fours[seed % fours.length]!;
  const cylinders = intakeAnglesDeg.length;
  const dead = random.uniform() < 0.7 ? random.index(cylinders) : null;
  const slots = byHand(cylinders, random);
  const losses = intakeAnglesDeg.map((_, cyl) =>
    cyl === dead ? 0 : (random.between(0.7, 1.3) * 0.5) / cylinders,
  );
  const idleRpm = random.between(900, 1300);
  const spec = {
    seed,
    durationS: slots.durationS,
    sampleRateHz: 250,
    intakeAnglesDeg,
    noiseKpa: 0.1,
    bits: 10,
    cycleScatter: random.between(0.004, 0.012) * (rough ? 2 : 1),
    wander: { sd: random.between(0.002, 0.008), correlation: 0.9 },
    depthScatter: rough ? 0.08 : 0.02,
    missedChance: rough ? 0.01 : 0,
    rpm: (timeS: number) =>
      idleRpm *
      (1 -
        losses.reduce((sum, loss, cyl) => {
          const risen = (sinceS: number): number => (sinceS <= 0 ? 0 : 1 - Math.exp(-sinceS / 0.5));
          return sum + loss * (risen(timeS - slots.startsS[cyl]!) - risen(timeS - slots.endsS[cyl]!));
        }, 0)),
  };
  const { timeS, kpa, truth } = (random.uniform() < 0.5 ? refillEngine : fourierEngine)(spec);
  return { cylinders, dead, result: judged(cyclesOf(timeS, kpa, truth.baroKpa), slots, marked, random) };
}

function judged(
  cycles: ReturnType<typeof cyclesOf>,
  slots: Slots,
  marked: boolean,
  random: { between(a: number, b: number): number },
): DropTestResult {
  const { timeS, speedRpm } = spotSeries(cycles, 2);
  return cylinderDrop({
    timeS,
    speedRpm,
    recordStartS: 0,
    recordEndS: slots.durationS,
    order: cycles.map((_, cyl) => cyl),
    ...(marked ? { marksS: slots.startsS.map((startS) => startS + random.between(-1, 1)) } : {}),
  });
}
