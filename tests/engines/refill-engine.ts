import { type CleanRun, type TimeGrid, timeGrid } from './clean-run.ts';
import { type CrankRun, crankByImpulses } from './crank-by-impulses.ts';
import { type EngineRecording, recordingOf } from './engine-recording.ts';
import { checkSpec, cycleDegOf, DEFAULT_BARO_KPA, type EngineSpec, rpmAt } from './engine-spec.ts';
import { drawnShare, type IntakeCam, intakeCam } from './intake-cam.ts';
import { type MissedPlan, missedPlan } from './missed-plan.ts';
import { relativeFlow } from './orifice-flow.ts';
import { type SeededRandom, seededRandom } from './seeded-random.ts';

/**
 * Semi-empirical engine. During intake each port and its cylinder are one growing volume, so the pressure falls
 * along an S; a little burnt gas comes back at first. All the time air enters through the throttle by the orifice
 * law, choked or not. What the next pulse finds is what the last one and the throttle have left.
 */
export function refillEngine(spec: EngineSpec): EngineRecording {
  checkSpec(spec);
  const random = seededRandom(spec.seed, 1);
  const grid = timeGrid(spec);
  const missed = missedPlan(spec, seededRandom(spec.seed, 2));
  const crank = crankByImpulses(spec, grid, missed, random);
  const cycleDeg = cycleDegOf(spec);
  const taps = spec.intakeAnglesDeg.map((_, tap) =>
    runTap(spec, tap, grid, crank, missed, seededRandom(spec.seed, 100 + tap)),
  );
  const run: CleanRun = {
    ...grid,
    durationS: spec.durationS,
    cycleDeg,
    baroKpa: spec.baroKpa ?? DEFAULT_BARO_KPA,
    angleDeg: crank.angleDeg,
    kpa: taps.map((tap) => tap.kpa),
    intakeAnglesDeg: spec.intakeAnglesDeg,
    missedAnglesDeg: taps.map((tap, i) =>
      [...missed[i]!.keys()].map(
        (cycle) =>
          spec.intakeAnglesDeg[i]! + (crank.firstEvent[i]! + cycle) * cycleDeg + tap.cam.durationDeg * 0.9,
      ),
    ),
    deadChannels: spec.intakeAnglesDeg.map((_, i) => (spec.strength?.[i] ?? 1) < 0.1),
    longRunVacuumKpa: spec.intakeAnglesDeg.map(() => null),
    refillKpaPerS: taps.map((tap) => tap.refillKpaPerS),
  };
  return recordingOf(run, spec);
}

/** Stroke volume over port volume, alike in all cylinders of an engine but for TAP_DIFFERENCE. */
const STROKE_RATIO = [0.85, 1.35] as const;
/** Choked refill [kPa per cycle] of a nominal throttle at the speed of the run's begin. */
const REFILL_PER_CYCLE_KPA = [46, 58] as const;
/** Relative half-range of what differs between the cylinders of one engine. */
const TAP_DIFFERENCE = 0.03;
/** Share of the way to barometric pressure that returning burnt gas lifts the port at first. */
const REVERSION = [0.02, 0.07] as const;
const REVERSION_DEG = 25;
const POP_DECAY_S = 0.006;

interface Tap {
  readonly cam: IntakeCam;
  readonly kpa: Float64Array;
  readonly refillKpaPerS: number;
}

function runTap(
  spec: EngineSpec,
  tap: number,
  grid: TimeGrid,
  crank: CrankRun,
  missed: MissedPlan,
  random: SeededRandom,
): Tap {
  const cycleDeg = cycleDegOf(spec);
  const shape = seededRandom(spec.shapeSeed ?? spec.seed, 300 + tap);
  const cam = intakeCam(cycleDeg, shape);
  const baro = spec.baroKpa ?? DEFAULT_BARO_KPA;
  const offsets = [0, ...(spec.furtherPulsesDeg?.[tap] ?? [])];
  // A manifold shared by n cylinders has their throttle area, but less than n ports' volume.
  const crowding = Math.sqrt(offsets.length);
  const common = seededRandom(spec.shapeSeed ?? spec.seed, 3);
  const differing = (value: number): number => value * (1 + shape.between(-TAP_DIFFERENCE, TAP_DIFFERENCE));
  const strokeRatio = differing(common.between(...STROKE_RATIO)) / crowding;
  const reversion = shape.between(...REVERSION) / crowding;
  const idleCycleS = cycleDeg / 6 / rpmAt(spec, 0);
  const nominalKpaPerS = (differing(common.between(...REFILL_PER_CYCLE_KPA)) * crowding) / idleCycleS;
  const strength = spec.strength?.[tap] ?? 1;
  const scatter = spec.depthScatter ?? 0;
  const rho = spec.depthCorrelation ?? 0;
  const innovation = scatter * Math.sqrt(1 - rho * rho);
  const steps = (spec.openingSteps ?? []).filter((s) => s.channel === tap);
  const shifts = (spec.levelSteps ?? []).filter((s) => s.channel === tap);
  const pops = (spec.pops ?? []).filter((p) => p.channel === tap);
  const levels = spec.levelScatter ?? { sdKpa: 0, correlation: 0 };
  const levelInnovation = levels.sdKpa * Math.sqrt(1 - levels.correlation ** 2);

  // State of each intake event on this tap: when it began, how strong it is, by how many port
  // volumes it has grown.
  const begun = new Float64Array(offsets.length).fill(Number.NEGATIVE_INFINITY);
  const draw = new Float64Array(offsets.length);
  const drawn = new Float64Array(offsets.length);
  const next = offsets.map((o) =>
    Math.ceil((crank.angleDeg[0]! - spec.intakeAnglesDeg[tap]! - o) / cycleDeg),
  );
  let deviation = scatter * random.normal();
  let level = levels.sdKpa * random.normal();
  let levelNow = level;
  const kpa = new Float64Array(grid.points);
  let p = 0.75 * baro;
  let opening = (spec.opening?.[tap] ?? 1) * nominalKpaPerS;
  let rate = opening;
  let popNow = 0;

  for (let i = 0; i < grid.points; i++) {
    const timeS = grid.startS + i * grid.stepS;
    const angle = crank.angleDeg[i]!;
    if ((i & 3) === 0) {
      opening = (spec.opening?.[tap] ?? 1) * nominalKpaPerS;
      for (const step of steps) if (timeS >= step.atS) opening *= step.factor;
      rate = spec.throttle ? opening * spec.throttle(timeS) : opening;
      if (spec.slides) rate *= spec.slides[tap]!(timeS);
    }
    const turnedDeg = i === 0 ? 0 : angle - crank.angleDeg[i - 1]!;
    let open = 1;
    let growth = 0;
    let lift = 0;
    for (let e = 0; e < offsets.length; e++) {
      const from = spec.intakeAnglesDeg[tap]! + offsets[e]! + next[e]! * cycleDeg;
      if (angle >= from) {
        const count = crank.firstEvent.length > 0 ? next[e]! - crank.firstEvent[tap]! : 0;
        next[e] = next[e]! + 1;
        begun[e] = from;
        deviation = deviation * rho + random.normal() * innovation;
        if (e === 0) level = level * levels.correlation + random.normal() * levelInnovation;
        const left = e === 0 ? (missed[tap]!.get(count) ?? 1) : 1;
        draw[e] = strength * left * Math.max(0, 1 + deviation);
      }
      const since = angle - begun[e]!;
      const before = drawn[e]!;
      // At closing the cylinder leaves with its share: the port's pressure stays.
      drawn[e] = since < cam.durationDeg ? strokeRatio * draw[e]! * drawnShare(cam, since) : 0;
      if (drawn[e]! > 0) {
        open += before;
        growth += drawn[e]! - before;
      }
      if (since < REVERSION_DEG) lift += (reversion * draw[e]! * turnedDeg) / REVERSION_DEG;
    }
    p *= open / (open + growth);
    const volume = open + growth;
    p += (baro - p) * lift;
    const perStep = (rate * grid.stepS) / volume;
    // Midpoint rule for the inflow; above barometric pressure it flows out.
    const half = p + 0.5 * perStep * signedFlow(p, baro);
    p += perStep * signedFlow(half, baro);

    for (const pop of pops) {
      if (timeS >= pop.atS && timeS - grid.stepS < pop.atS) popNow += pop.kpa;
    }
    popNow *= 1 - grid.stepS / POP_DECAY_S;
    // A level moves within some milliseconds, like the port it stands for.
    levelNow += (level - levelNow) * Math.min(1, grid.stepS / (0.2 * idleCycleS));
    let shift = levelNow;
    for (const step of shifts) if (timeS >= step.atS) shift += step.kpa;
    kpa[i] = p + popNow + shift;
  }
  return { cam, kpa, refillKpaPerS: (spec.opening?.[tap] ?? 1) * nominalKpaPerS };
}

function signedFlow(p: number, baro: number): number {
  return p <= baro ? relativeFlow(p / baro) : (-relativeFlow(baro / p) * p) / baro;
}
