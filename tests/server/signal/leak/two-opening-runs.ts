import { simulate } from '../../../../server/practice/simulate.ts';
import { refillSlope } from '../../../../server/signal/leak/refill-slope.ts';
import { type TwoOpeningResult, twoOpeningTest } from '../../../../server/signal/leak/two-opening-test.ts';
import { layoutNamed } from '../../../engines/layouts.ts';
import { refillEngine } from '../../../engines/refill-engine.ts';
import { type SeededRandom, seededRandom } from '../../../engines/seeded-random.ts';
import { cyclesOf } from './engine-cycles.ts';

export type CylinderTruth = 'leak' | 'linkage' | 'even';

export interface TwoOpeningRun {
  readonly truth: readonly CylinderTruth[];
  readonly results: readonly TwoOpeningResult[];
}

interface DrawnCylinder {
  readonly truth: CylinderTruth;
  /** Opening that grows with the throttle, 1 for even. */
  readonly scaling: number;
  /** Constant opening, in openings of an even cylinder at idle. */
  readonly leak: number;
}

/** At most one cylinder of an engine is at fault, with a leak of 8-25 % of its opening or a linkage 12-25 % off. */
function drawnCylinders(count: number, random: SeededRandom): DrawnCylinder[] {
  const faulty = random.uniform() < 0.75 ? random.index(count) : -1;
  const leaks = random.uniform() < 0.5;
  return Array.from({ length: count }, (_, cylinder) => {
    const even = random.between(0.985, 1.015);
    if (cylinder !== faulty) return { truth: 'even', scaling: even, leak: 0 };
    if (leaks) return { truth: 'leak', scaling: even, leak: random.between(0.08, 0.25) };
    const off = random.between(0.12, 0.25) * (random.uniform() < 0.5 ? -1 : 1);
    return { truth: 'linkage', scaling: 1 + off, leak: 0 };
  });
}

const LAYOUTS = ['twin 360', 'triple 240', 'four 180', 'crossplane four 270-180-90-180', 'six 120'];

/** Of a pair either may be off: the sound one of a twin with a linkage at fault counts as at fault too. */
function truthOf(drawn: readonly DrawnCylinder[]): CylinderTruth[] {
  const pairOff = drawn.length === 2 && drawn.some(({ truth }) => truth === 'linkage');
  return drawn.map(({ truth }) => (pairOff ? 'linkage' : truth));
}

/** Refilling ports whose volumes differ, at idle and at two to three and a half times the opening. */
export function twoOpeningsOfRefillEngine(seed: number): TwoOpeningRun {
  const random = seededRandom(seed, 84);
  const { intakeAnglesDeg } = layoutNamed(LAYOUTS[seed % LAYOUTS.length]!);
  const drawn = drawnCylinders(intakeAnglesDeg.length, random);
  const idleRpm = random.between(850, 1250);
  const grown = random.between(2, 3.5);
  const base = {
    shapeSeed: seed,
    durationS: 8,
    sampleRateHz: random.uniform() < 0.5 ? 500 : 1000,
    intakeAnglesDeg,
    baroKpa: random.between(90, 103),
    cycleScatter: 0.01,
    wander: { sd: 0.005, correlation: 0.9 },
    depthScatter: 0.03,
    noiseKpa: random.between(0.05, 0.25),
    bits: 10,
    hose: { lagS: random.between(0, 0.004) },
  };
  const slopesAt = (times: number) => {
    // The engine's refill per cycle is that of its speed: both grow by as much.
    const { timeS, kpa, truth } = refillEngine({
      ...base,
      seed: seed * 2 + (times > 1 ? 1 : 0),
      rpm: idleRpm * times,
      opening: drawn.map(({ scaling, leak }) => scaling + leak / times),
    });
    const cycles = cyclesOf(timeS, kpa, truth.baroKpa);
    return kpa.map((column, cylinder) =>
      refillSlope({ timeS, kpa: column, cycles: cycles[cylinder]!, barometricKpa: truth.baroKpa }),
    );
  };
  return { truth: truthOf(drawn), results: twoOpeningTest(slopesAt(1), slopesAt(grown)) };
}

const PRACTICE_LAYOUTS = ['twin-180', 'triple-120', 'four-inline'];
/** Effective area of a sharp-edged hole of 1 mm [m²] and of an idling throttle of 400 cm³. */
const HOLE_M2 = 0.6 * 0.25e-6 * Math.PI;
const IDLE_M2 = 6.2e-6;
const PER_TURN = 0.22;

/** The practice engine, whose raised opening is turned in by screws, held by a brake. Its ports are alike. */
export function twoOpeningsInPractice(seed: number): TwoOpeningRun {
  const random = seededRandom(seed, 85);
  const layout = PRACTICE_LAYOUTS[seed % PRACTICE_LAYOUTS.length]!;
  const cylinders = { 'twin-180': 2, 'triple-120': 3, 'four-inline': 4 }[layout]!;
  const size = { 'twin-180': 1, 'triple-120': 0.75, 'four-inline': 0.625 }[layout]!;
  const drawn = drawnCylinders(cylinders, random);
  const grown = random.between(2, 3);
  const ambientKpa = random.between(92, 103);
  const slopesAt = (times: number, heldRpm: number) => {
    const run = simulate(
      {
        layout,
        seed: seed * 2 + (times > 1 ? 1 : 0),
        sampleRateHz: 1000,
        ambientKpa,
        taps: { noiseKpa: random.between(0.05, 0.2), lagS: 0.002 },
        controls: {
          heldRpm,
          mismatchTurns: drawn.map(({ scaling }) => (scaling * times - 1) / PER_TURN),
          leakMm: drawn.map(({ leak }) => Math.sqrt((leak * IDLE_M2 * size) / HOLE_M2)),
        },
      },
      8,
    );
    const cycles = cyclesOf(run.timeS, run.kpa, ambientKpa);
    return run.kpa.map((kpa, cylinder) =>
      refillSlope({ timeS: run.timeS, kpa, cycles: cycles[cylinder]!, barometricKpa: ambientKpa }),
    );
  };
  return { truth: truthOf(drawn), results: twoOpeningTest(slopesAt(1, 1050), slopesAt(grown, 1050 * grown)) };
}
