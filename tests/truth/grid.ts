import type { Engine } from '../engines/engine-recording.ts';
import type { EngineSpec } from '../engines/engine-spec.ts';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { LAYOUTS, type Layout } from '../engines/layouts.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';
import { type CaseTrouble, sharedManifold, TROUBLES, withTrouble } from './grid-troubles.ts';

export interface GridCase {
  readonly label: string;
  readonly engineName: 'refill' | 'fourier';
  readonly engine: Engine;
  readonly layout: Layout;
  readonly trouble: CaseTrouble;
  readonly rpm: number;
  readonly samplesPerCycle: number;
  readonly spec: EngineSpec;
}

export interface GridLimits {
  readonly minRpm?: number;
  readonly maxRpm?: number;
  readonly troubles?: readonly CaseTrouble[];
  readonly sampleRatesHz?: readonly number[];
  readonly minSamplesPerCycle?: number;
  readonly minCylinders?: number;
  readonly strokes?: 4 | 2;
  /** Share of cases at 300 and at 8000 r/min, outside what is promised. Default 0. */
  readonly extremesShare?: number;
  /** Changes the finished spec of each case. */
  readonly change?: (spec: EngineSpec, random: SeededRandom) => EngineSpec;
}

const SAMPLE_RATES_HZ = [250, 500, 1000, 2000];
const MIN_RPM = 600;
const MAX_RPM = 6000;
const EXTREMES_RPM = [300, 8000];
const LEAST_SAMPLES_PER_PULSE = 3;

/** Seeded cases over layouts, speeds, sample rates, noise and troubles. The same seed gives the same cases. */
export function cases(count: number, seed: number, limits: GridLimits = {}): GridCase[] {
  return Array.from({ length: count }, (_, i) => oneCase(seed, i, limits));
}

function oneCase(gridSeed: number, index: number, limits: GridLimits): GridCase {
  const random = seededRandom(gridSeed, 1000 + index);
  const pick = <T>(list: readonly T[]): T => list[random.index(list.length)]!;
  const troubles = limits.troubles ?? TROUBLES;
  for (;;) {
    const trouble = troubles.includes('healthy') && random.uniform() < 0.5 ? 'healthy' : pick(troubles);
    const layout = pick(layoutsFor(trouble, limits));
    const extreme = random.uniform() < (limits.extremesShare ?? 0);
    const [low, high] = [limits.minRpm ?? MIN_RPM, limits.maxRpm ?? MAX_RPM];
    // Even in the logarithm: as many cases between 600 and 1200 as between 3000 and 6000.
    const rpm = extreme ? pick(EXTREMES_RPM) : Math.round(low * (high / low) ** random.uniform());
    const sampleRateHz = pick(limits.sampleRatesHz ?? SAMPLE_RATES_HZ);
    const cycleS = (layout.strokes === 4 ? 120 : 60) / rpm;
    const samplesPerCycle = sampleRateHz * cycleS;
    if (samplesPerCycle < (limits.minSamplesPerCycle ?? 0)) continue;
    const manifold = trouble === 'shared manifold' ? sharedManifold(layout, random) : null;
    // With fewer, equal pulses alias into another speed: nothing could tell them apart.
    if (samplesPerCycle < LEAST_SAMPLES_PER_PULSE * (manifold?.pulses ?? 1)) continue;
    const engineName = random.uniform() < 0.5 ? 'refill' : 'fourier';
    const seed = gridSeed * 100_003 + index;
    const plain = plainSpec(layout, seed, rpm, sampleRateHz, cycleS, random);
    const troubled = manifold ? { ...plain, ...manifold.spec } : withTrouble(plain, trouble, cycleS, random);
    const spec = limits.change ? limits.change(troubled, random) : troubled;
    return {
      label: `#${gridSeed}.${index} ${engineName} ${layout.name} ${rpm} r/min ${sampleRateHz} S/s ${trouble}`,
      engineName,
      engine: engineName === 'refill' ? refillEngine : fourierEngine,
      layout,
      trouble,
      rpm,
      samplesPerCycle,
      spec,
    };
  }
}

/** A trouble of one cylinder must leave others to tell the engine's cycle by. */
const NEEDS_TWO: readonly CaseTrouble[] = ['dead cylinder', 'fallen hose', 'blocked hose', 'swapped hoses'];

function layoutsFor(trouble: CaseTrouble, limits: GridLimits): readonly Layout[] {
  const least = Math.max(limits.minCylinders ?? 1, NEEDS_TWO.includes(trouble) ? 2 : 1);
  return LAYOUTS.filter(
    (layout) =>
      layout.intakeAnglesDeg.length >= least &&
      (limits.strokes === undefined || layout.strokes === limits.strokes),
  );
}

const CYCLES = 45;
const SHORTEST_S = 3;
const LONGEST_S = 8;

function plainSpec(
  layout: Layout,
  seed: number,
  rpm: number,
  sampleRateHz: number,
  cycleS: number,
  random: SeededRandom,
): EngineSpec {
  return {
    seed,
    durationS: Math.min(Math.max(CYCLES * cycleS, SHORTEST_S), LONGEST_S),
    sampleRateHz,
    strokes: layout.strokes,
    intakeAnglesDeg: layout.intakeAnglesDeg,
    rpm,
    baroKpa: random.between(88, 104),
    cycleScatter: random.between(0.002, 0.015),
    wander: { sd: random.between(0, 0.01), correlation: 0.9 },
    speedRipple: random.between(0, 0.02),
    depthScatter: random.between(0.005, 0.04),
    opening: layout.intakeAnglesDeg.map(() => random.between(0.92, 1.08)),
    noiseKpa: random.between(0.05, 0.3),
    bits: 10,
    skewS: random.uniform() < 0.5 ? 0 : random.between(0.00002, 0.00012),
  };
}
