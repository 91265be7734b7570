import { simulate } from '../../../../server/practice/simulate.ts';
import { type SpotTestPlan, spotTestPlan } from '../../../../server/signal/leak/spot-plan.ts';
import { spotSeries } from '../../../../server/signal/leak/spot-series.ts';
import { type SpotResult, spotTest } from '../../../../server/signal/leak/spot-test.ts';
import type { Engine } from '../../../engines/engine-recording.ts';
import type { EngineSpec } from '../../../engines/engine-spec.ts';
import { seededRandom } from '../../../engines/seeded-random.ts';
import { cyclesOf } from './engine-cycles.ts';

/** What closing a spot does: nothing; the vacuum of one cylinder rises; the idle moves. */
export type SpotEffect = 'none' | 'cylinder' | 'idle';

export interface PlannedRun {
  readonly spots: readonly { readonly name: string; readonly effect: SpotEffect }[];
  readonly results: readonly SpotResult[];
}

export interface PlannedOptions {
  readonly seed: number;
  readonly spots?: number;
  readonly repeats?: number;
  readonly leakChance?: number;
  readonly cylinderKpa?: number;
  readonly idleShare?: number;
}

const LONGEST_DELAY_S = 0.4;
const RISE_S = 0.3;
const WARM_UP_SHARE = 0.01;

/** A spot test after the plan on an engine that is told what each press does. */
export function plannedSpots(engine: Engine, base: EngineSpec, options: PlannedOptions): PlannedRun {
  const random = seededRandom(options.seed, 81);
  const { plan, spots } = drawn(options, random);
  const leaks = new Map(
    spots.map(({ name, effect }) => [
      name,
      {
        effect,
        channel: random.index(base.intakeAnglesDeg.length),
        share: (random.uniform() < 0.5 ? -1 : 1) * (options.idleShare ?? 0.01),
      },
    ]),
  );
  const levelSteps: { channel: number; atS: number; kpa: number }[] = [];
  const pushes: { fromS: number; toS: number; share: number }[] = [];
  const kpa = options.cylinderKpa ?? 0.5;
  for (const { spot, startS, endS } of plan.presses) {
    const leak = spot === null ? undefined : leaks.get(spot);
    const delayS = random.between(0.05, LONGEST_DELAY_S);
    if (leak?.effect === 'cylinder')
      levelSteps.push(
        { channel: leak.channel, atS: startS + delayS, kpa: -kpa },
        { channel: leak.channel, atS: endS + delayS, kpa },
      );
    if (leak?.effect === 'idle')
      pushes.push({ fromS: startS + delayS, toS: endS + delayS, share: leak.share });
  }
  const idleRpm = typeof base.rpm === 'number' ? base.rpm : base.rpm(0);
  const rpm = (t: number): number => {
    let factor = 1 + (WARM_UP_SHARE * t) / plan.durationS;
    for (const push of pushes)
      factor += push.share * (eased((t - push.fromS) / RISE_S) - eased((t - push.toS) / RISE_S));
    return idleRpm * factor;
  };
  const { timeS, kpa: columns, truth } = engine({ ...base, durationS: plan.durationS, levelSteps, rpm });
  const cycles = cyclesOf(timeS, columns, truth.baroKpa, base.strokes ?? 4);
  return {
    spots,
    results: inOrder(spots, spotTest(plan.presses, spotSeries(cycles, (base.strokes ?? 4) / 2))),
  };
}

/** A spot test on the practice engine: holes in the intake of single cylinders, closed while pressed. */
export function plannedSpotsInPractice(layout: string, options: PlannedOptions): PlannedRun {
  const random = seededRandom(options.seed, 82);
  const { plan, spots } = drawn(options, random);
  const cylinders = { 'twin-180': 2, 'triple-120': 3, 'four-inline': 4 }[layout]!;
  const leaks = spots.flatMap(({ name, effect }) =>
    effect === 'none'
      ? []
      : [{ name, cylinder: random.index(cylinders), holeMm: random.between(SMALLEST_MM, LARGEST_MM) }],
  );
  const closed = plan.presses.map((press) => ({ ...press, delayS: random.between(0.05, LONGEST_DELAY_S) }));
  const run = simulate(
    {
      layout,
      seed: options.seed,
      sampleRateHz: 250,
      ambientKpa: random.between(92, 103),
      taps: { noiseKpa: random.between(0.05, 0.2), lagS: 0.002 },
      scriptEveryS: 0.05,
      script: (bench, timeS) => {
        bench.controls.leakMm.fill(0);
        for (const { name, cylinder, holeMm } of leaks) {
          const pressed = closed.some(
            (press) =>
              press.spot === name &&
              timeS >= press.startS + press.delayS &&
              timeS < press.endS + press.delayS,
          );
          const had = bench.controls.leakMm[cylinder]!;
          if (!pressed) bench.controls.leakMm[cylinder] = Math.hypot(had, holeMm);
        }
      },
    },
    plan.durationS,
  );
  const cycles = cyclesOf(run.timeS, run.kpa, run.bench.ambientKpa);
  const results = spotTest(plan.presses, spotSeries(cycles, 2), { everyCylinderSensed: true });
  return { spots, results: inOrder(spots, results) };
}

/** A hole of 0.4 mm adds some 1.2 % to an idling throttle and moves its cylinder by about half a kilopascal. */
const SMALLEST_MM = 0.4;
const LARGEST_MM = 1.2;

function drawn(
  options: PlannedOptions,
  random: { uniform(): number },
): { plan: SpotTestPlan; spots: { name: string; effect: SpotEffect }[] } {
  const spots = Array.from({ length: options.spots ?? 4 }, (_, at) => ({
    name: `spot ${at + 1}`,
    effect: (random.uniform() >= (options.leakChance ?? 0.4)
      ? 'none'
      : random.uniform() < 0.5
        ? 'cylinder'
        : 'idle') as SpotEffect,
  }));
  const names = spots.map(({ name }) => name);
  return { plan: spotTestPlan(names, options.repeats ?? 3, options.seed), spots };
}

function inOrder(spots: readonly { name: string }[], results: readonly SpotResult[]): SpotResult[] {
  return spots.map(({ name }) => results.find(({ spot }) => spot === name)!);
}

function eased(part: number): number {
  const x = Math.min(Math.max(part, 0), 1);
  return x * x * (3 - 2 * x);
}
