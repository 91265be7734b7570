import { type CleanRun, type TimeGrid, timeGrid } from './clean-run.ts';
import type { CrankRun } from './crank-by-impulses.ts';
import { crankByWaves } from './crank-by-waves.ts';
import { type EngineRecording, recordingOf } from './engine-recording.ts';
import { checkSpec, cycleDegOf, DEFAULT_BARO_KPA, type EngineSpec } from './engine-spec.ts';
import { type HarmonicPulse, harmonicPulse, shareAt } from './harmonic-pulse.ts';
import { type MissedPlan, missedPlan } from './missed-plan.ts';
import { seededRandom } from './seeded-random.ts';

/**
 * Engine of drawn waveforms: each cylinder has its own smooth periodic pulse of a few harmonics in crank angle, whose
 * swing is set anew at the start of each fall. Nothing of gas dynamics is in it. The long-run mean of
 * whole cycles is known in closed form when speed and swing are independent.
 */
export function fourierEngine(spec: EngineSpec): EngineRecording {
  checkSpec(spec);
  const cycleDeg = cycleDegOf(spec);
  const grid = timeGrid(spec);
  const missed = missedPlan(spec, seededRandom(spec.seed, 12));
  const crank = crankByWaves(spec, grid, seededRandom(spec.seed, 11));
  const common = seededRandom(spec.shapeSeed ?? spec.seed, 13);
  const family = {
    highKpa: common.between(76, 92),
    swingKpa: common.between(32, 46),
    variety: common.between(0.4, 1),
  };
  const taps = spec.intakeAnglesDeg.map((_, tap) => drawnTap(spec, tap, family));
  const baroKpa = spec.baroKpa ?? DEFAULT_BARO_KPA;
  const run: CleanRun = {
    ...grid,
    durationS: spec.durationS,
    cycleDeg,
    baroKpa,
    angleDeg: crank.angleDeg,
    kpa: taps.map((tap, i) => runTap(spec, i, tap, grid, crank, missed)),
    intakeAnglesDeg: spec.intakeAnglesDeg,
    missedAnglesDeg: taps.map((tap, i) =>
      [...missed[i]!.keys()].map(
        (cycle) =>
          spec.intakeAnglesDeg[i]! +
          (crank.firstEvent[i]! + cycle) * cycleDeg +
          (tap.pulse.lowestAt * cycleDeg) / tap.pulses,
      ),
    ),
    deadChannels: spec.intakeAnglesDeg.map((_, i) => (spec.strength?.[i] ?? 1) < 0.1),
    refillKpaPerS: taps.map(() => null),
    longRunVacuumKpa: taps.map((tap) =>
      isStationary(spec) ? baroKpa - tap.highKpa + tap.swingKpa * (1 - tap.pulse.meanShare) : null,
    ),
  };
  return recordingOf(run, spec);
}

interface Family {
  readonly highKpa: number;
  readonly swingKpa: number;
  readonly variety: number;
}

interface DrawnTap {
  readonly pulse: HarmonicPulse;
  readonly pulses: number;
  readonly highKpa: number;
  readonly swingKpa: number;
}

/** A ripple of the speed weights some of the cycle more than the rest: then the mean over time is not the drawn one. */
function isStationary(spec: EngineSpec): boolean {
  const moved = [spec.missed, spec.openingSteps, spec.levelSteps, spec.pops, spec.faults].some(
    (l) => l?.length,
  );
  return !moved && !spec.missedChance && !spec.speedRipple && !spec.throttle && typeof spec.rpm === 'number';
}

/** What the throttle does to the level [kPa] for its opening to double. */
const KPA_PER_DOUBLING = 14;
const POP_S = 0.012;

function drawnTap(spec: EngineSpec, tap: number, family: Family): DrawnTap {
  const random = seededRandom(spec.shapeSeed ?? spec.seed, 200 + tap);
  const pulse = harmonicPulse(random, family.variety);
  const pulses = 1 + (spec.furtherPulsesDeg?.[tap]?.length ?? 0);
  const opening = spec.opening?.[tap] ?? 1;
  const swingKpa =
    (family.swingKpa * random.between(0.94, 1.06) * (spec.strength?.[tap] ?? 1) * Math.min(1, opening)) /
    pulses ** 0.5;
  const highKpa = family.highKpa + random.between(-1.5, 1.5) + KPA_PER_DOUBLING * Math.log2(opening);
  return { pulse, pulses, highKpa, swingKpa };
}

function runTap(
  spec: EngineSpec,
  tap: number,
  drawn: DrawnTap,
  grid: TimeGrid,
  crank: CrankRun,
  missed: MissedPlan,
): Float64Array {
  const cycleDeg = cycleDegOf(spec);
  const { pulse } = drawn;
  const random = seededRandom(spec.seed, 400 + tap);
  const scatter = spec.depthScatter ?? 0;
  const rho = spec.depthCorrelation ?? 0;
  const innovation = scatter * Math.sqrt(1 - rho * rho);
  const levels = spec.levelScatter ?? { sdKpa: 0, correlation: 0 };
  const levelInnovation = levels.sdKpa * Math.sqrt(1 - levels.correlation ** 2);
  const openings = (spec.openingSteps ?? []).filter((s) => s.channel === tap);
  const shifts = (spec.levelSteps ?? []).filter((s) => s.channel === tap);
  const pops = (spec.pops ?? []).filter((p) => p.channel === tap);
  // The begin of each of the cycle's pulses, as angles after the tap's first.
  const begins = [0, ...(spec.furtherPulsesDeg?.[tap] ?? [])].sort((a, b) => a - b);

  const kpa = new Float64Array(grid.points);
  let index = 0;
  let base = Math.floor((crank.angleDeg[0]! - spec.intakeAnglesDeg[tap]!) / cycleDeg) - 1;
  let beginDeg = spec.intakeAnglesDeg[tap]! + base * cycleDeg;
  let endDeg = beginDeg;
  let deviation = scatter * random.normal();
  let levelFrom = levels.sdKpa * random.normal();
  let levelTo = levelFrom;
  let swing = drawn.swingKpa;
  index = begins.length - 1;
  for (let i = 0; i < grid.points; i++) {
    const angle = crank.angleDeg[i]!;
    while (angle >= endDeg) {
      index++;
      if (index === begins.length) {
        index = 0;
        base++;
        levelFrom = levelTo;
        levelTo = levelFrom * levels.correlation + random.normal() * levelInnovation;
      }
      beginDeg = spec.intakeAnglesDeg[tap]! + base * cycleDeg + begins[index]!;
      endDeg =
        spec.intakeAnglesDeg[tap]! +
        (index + 1 < begins.length ? base * cycleDeg + begins[index + 1]! : (base + 1) * cycleDeg);
      deviation = deviation * rho + random.normal() * innovation;
      const left = index === 0 ? (missed[tap]!.get(base - crank.firstEvent[tap]!) ?? 1) : 1;
      swing = drawn.swingKpa * left * Math.max(0, 1 + deviation);
    }
    const timeS = grid.startS + i * grid.stepS;
    let high = drawn.highKpa;
    if (levels.sdKpa > 0) {
      const cycleBegin = spec.intakeAnglesDeg[tap]! + base * cycleDeg;
      high += levelFrom + ((levelTo - levelFrom) * (angle - cycleBegin)) / cycleDeg;
    }
    for (const step of openings) if (timeS >= step.atS) high += KPA_PER_DOUBLING * Math.log2(step.factor);
    for (const step of shifts) if (timeS >= step.atS) high += step.kpa;
    if (spec.throttle) high += 0.5 * KPA_PER_DOUBLING * Math.log2(spec.throttle(timeS));
    let value = high - swing * (1 - shareAt(pulse, (angle - beginDeg) / (endDeg - beginDeg)));
    for (const pop of pops) {
      const since = timeS - pop.atS;
      if (since >= 0 && since < POP_S) value += pop.kpa * Math.sin((Math.PI * since) / POP_S) ** 2;
    }
    kpa[i] = value;
  }
  return kpa;
}
