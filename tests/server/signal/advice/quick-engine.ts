/**
 * A stand-in for the simulated engine that knows no pulses: one vacuum per cylinder and cycle, from the laws that the
 * simulated engine was measured to follow at idle. Levels and gaps are followed as the instrument does.
 */
import { AREA_PER_TURN } from '../../../../server/practice/engine-parameters.ts';
import { layoutById } from '../../../../server/practice/layouts.ts';
import { Random } from '../../../../server/practice/random.ts';
import { balanceVerdict } from '../../../../server/signal/balance-verdict.ts';
import { LevelTracker } from '../../../../server/signal/level-tracker.ts';
import type { CylinderReading, Reading } from '../../../../server/signal/reading.ts';
import type { BalancingEngine } from './balancing-engine.ts';
import type { PracticeBalancingOptions } from './practice-balancing.ts';

/** Vacuum falls by this for each factor e of throttle area, the others and the speed being what they become [kPa]. */
export const KPA_PER_LOG_AREA = 38;
const START_RPM = 1113;
const START_VACUUM_KPA = 43.6;
/** Speed goes up by so many parts for each part of the mean area. */
const SPEED_PER_AREA = 0.87;
const VACUUM_PER_LOG_SPEED_KPA = -4.5;
const SPEED_LAG_S = 0.7;
/**
 * Scatter of the cycle means [kPa], with the correlation of neighbours: of each cylinder by itself, from that of the
 * simulated engine to twice as much and more, and of all in common; and of the speed [part].
 */
const OWN_SD_KPA = [0.06, 0.2] as const;
const OWN_CORRELATION = 0.4;
const COMMON_SD_KPA = 0.65;
const COMMON_CORRELATION = 0.9;
const SPEED_SD = 0.015;

/** The same engines as the practice has, out of adjustment in the same way. */
export function quickEngine(options: PracticeBalancingOptions): BalancingEngine {
  const { cylinders, balanceScrews } = layoutById(options.layout);
  return quickEngineOf({
    ...options,
    cylinders,
    screws: balanceScrews.length,
    areas: ({ screwTurns, idleTurns }) =>
      options.mismatchTurns.map((mismatch, cyl) => {
        const turns = balanceScrews.reduce(
          (sum, { opens }, screw) => sum + opens[cyl]! * screwTurns[screw]!,
          idleTurns + mismatch,
        );
        return Math.max(0.01, 1 + AREA_PER_TURN * turns);
      }),
  });
}

export interface QuickEngineSpec {
  readonly seed: number;
  readonly cylinders: number;
  readonly screws: number;
  readonly reference: number | 'mean';
  readonly toleranceKpa: number;
  /** Open area of each throttle, in that of one at idle. */
  readonly areas: (hand: {
    readonly screwTurns: readonly number[];
    /** Turns of the idle screw from where it started. */
    readonly idleTurns: number;
    /** Opening by the twist grip, in areas of a throttle at idle. */
    readonly throttle: number;
  }) => number[];
}

export function quickEngineOf(spec: QuickEngineSpec): BalancingEngine {
  const { seed, reference, toleranceKpa } = spec;
  const n = spec.cylinders;
  const random = new Random(seed);
  const ownSdKpa = OWN_SD_KPA[0] + (OWN_SD_KPA[1] - OWN_SD_KPA[0]) * random.uniform();
  const screwTurns = Array.from({ length: spec.screws }, () => 0);
  const levels = Array.from({ length: n }, () => new LevelTracker(n));
  const gaps = Array.from({ length: n }, () => new LevelTracker(n));
  const scatter = new Array<number>(n + 1).fill(0);
  let idleTurns = 0;
  let throttle = 0;
  let timeS = 0;
  let rpm = START_RPM;
  let newestRpm = START_RPM;
  let cycles = 0;
  let nextCycleS = 0;
  let blipUntilS = 0;

  const areas = () => spec.areas({ screwTurns, idleTurns, throttle });
  const steadyRpm = () => {
    const mean = areas().reduce((sum, area) => sum + area, 0) / n;
    return START_RPM * (1 + SPEED_PER_AREA * (mean - 1));
  };
  const trueGapsKpa = () => {
    const logs = areas().map(Math.log);
    const mean = logs.reduce((sum, value) => sum + value, 0) / n;
    return logs.map((value) => -KPA_PER_LOG_AREA * (value - mean));
  };
  const cycle = (): void => {
    for (const [at, before] of scatter.entries()) {
      const correlation = at < n ? OWN_CORRELATION : COMMON_CORRELATION;
      scatter[at] = correlation * before + Math.sqrt(1 - correlation ** 2) * random.normal();
    }
    const common =
      START_VACUUM_KPA + VACUUM_PER_LOG_SPEED_KPA * Math.log(rpm / START_RPM) + COMMON_SD_KPA * scatter[n]!;
    const opened = timeS < blipUntilS ? 0.5 : 1;
    const vacuums = trueGapsKpa().map((gap, cyl) => opened * (common + gap) + ownSdKpa * scatter[cyl]!);
    const zero =
      reference === 'mean' ? vacuums.reduce((sum, value) => sum + value, 0) / n : vacuums[reference]!;
    const levelChanged = vacuums.map((vacuum, cyl) => levels[cyl]!.push(vacuum));
    let keep = Number.POSITIVE_INFINITY;
    vacuums.forEach((vacuum, cyl) => {
      const gap = gaps[cyl]!;
      const level = levels[cyl]!;
      if (gap.push(vacuum - zero)) keep = Math.min(keep, gap.values.length);
      else if (levelChanged[cyl] && gap.standsOff(level.values.length) * level.side > 2)
        keep = Math.min(keep, level.values.length);
    });
    if (keep < Number.POSITIVE_INFINITY) for (const gap of gaps) gap.changeTo(keep);
    newestRpm = rpm * (1 + SPEED_SD * random.normal());
    cycles++;
  };
  const reading = (): Reading => {
    const cylinders = gaps.map((gap, cyl): CylinderReading => {
      const { mean, standardError, count } = gap.level();
      const gapKpa = count > 0 ? mean : null;
      const gapExpandedKpa = reference === cyl ? 0 : standardError === null ? null : 2 * standardError;
      return {
        ...NO_FIGURES,
        gapKpa,
        gapExpandedKpa,
        verdict: balanceVerdict(gapKpa, gapExpandedKpa, toleranceKpa),
        settling: gap.settling,
        cycles: count,
      };
    });
    return {
      timeS,
      engine: { running: true, speedRpm: newestRpm, idleRpm: rpm, cycles },
      cylinders,
      spreadKpa: null,
      spreadExpandedKpa: null,
      settling: (['moving', 'settling', 'steady'] as const).find((state) =>
        cylinders.some(({ settling }) => settling === state),
      )!,
      verdict: 'not-sure',
      cyclesNeeded: null,
      swappedHoses: null,
      roughness: {
        score: null,
        cycleLengthCovPercent: null,
        choppinessPercent: null,
        hunting: null,
        perCylinder: [],
      },
    };
  };
  return {
    cylinders: n,
    get timeS() {
      return timeS;
    },
    advance(durationS) {
      const untilS = timeS + durationS;
      while (nextCycleS < untilS) {
        const passedS = nextCycleS - timeS;
        timeS = nextCycleS;
        const target = timeS < blipUntilS ? 2 * steadyRpm() : steadyRpm();
        rpm += (target - rpm) * (1 - Math.exp(-passedS / SPEED_LAG_S));
        cycle();
        nextCycleS += 120 / rpm;
      }
      timeS = untilS;
      return reading();
    },
    turn(screw, turns) {
      screwTurns[screw]! += turns;
    },
    turnIdleScrew(turns) {
      idleTurns += turns;
    },
    hold(opening) {
      throttle = opening;
    },
    blip() {
      blipUntilS = timeS + 0.6;
    },
    get trueRpm() {
      return steadyRpm();
    },
    trueGapsKpa,
  };
}

const NO_FIGURES = {
  sensor: 'ok',
  vacuumKpa: null,
  vacuumSdKpa: null,
  vacuumStandardErrorKpa: null,
  vacuumExpandedKpa: null,
  lastCycleKpa: null,
  peakVacuumKpa: null,
  pulseDepthKpa: null,
  missedPulsesPerMinute: null,
} as const;
