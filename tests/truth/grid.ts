import type { Engine } from '../engines/engine-recording.ts';
import type { EngineSpec } from '../engines/engine-spec.ts';
import { fourierEngine } from '../engines/fourier-engine.ts';
import { LAYOUTS, type Layout } from '../engines/layouts.ts';
import { refillEngine } from '../engines/refill-engine.ts';
import { type SeededRandom, seededRandom } from '../engines/seeded-random.ts';

export type CaseTrouble = (typeof TROUBLES)[number];

/** What may be wrong with a case's engine or board. Healthy stands for half of the grid. */
export const TROUBLES = [
  'healthy',
  'missed pulses',
  'dead cylinder',
  'weak cylinder',
  'closed-off throttle',
  'hunting',
  'rough',
  'spikes',
  'gaps',
  'stamp jitter',
  'hose lag',
  'hose ringing',
  'restrictor',
  'blip',
  'pop',
  'fallen hose',
  'blocked hose',
  'swapped hoses',
  'shared manifold',
] as const;

/** Troubles of sensors, hoses and the board, not of the engine. */
export const HARDWARE_TROUBLES: readonly CaseTrouble[] = [
  'spikes',
  'gaps',
  'stamp jitter',
  'hose lag',
  'hose ringing',
  'restrictor',
  'fallen hose',
  'blocked hose',
];

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

function withTrouble(
  spec: EngineSpec,
  trouble: CaseTrouble,
  cycleS: number,
  random: SeededRandom,
): EngineSpec {
  const taps = spec.intakeAnglesDeg.length;
  const channel = random.index(taps);
  const middleS = spec.durationS * random.between(0.35, 0.6);
  const onOne = (value: number): number[] => spec.intakeAnglesDeg.map((_, i) => (i === channel ? value : 1));
  const rpm = typeof spec.rpm === 'number' ? spec.rpm : 0;
  switch (trouble) {
    case 'healthy':
    case 'shared manifold':
      return spec;
    case 'missed pulses':
      return { ...spec, missedChance: random.between(0.01, 0.06), depthScatter: 0.1 };
    case 'dead cylinder':
      return { ...spec, strength: onOne(0) };
    case 'weak cylinder':
      return { ...spec, strength: onOne(random.between(0.15, 0.6)) };
    case 'closed-off throttle':
      return { ...spec, opening: onOne(random.between(0.35, 0.6)) };
    case 'hunting':
      return {
        ...spec,
        hunting: { amplitudeRpm: rpm * random.between(0.02, 0.08), periodS: random.between(0.8, 4) },
      };
    case 'rough':
      return {
        ...spec,
        cycleScatter: random.between(0.02, 0.04),
        depthScatter: 0.1,
        levelScatter: { sdKpa: random.between(0.3, 1), correlation: random.between(0, 0.7) },
      };
    case 'spikes':
      return { ...spec, spikesPerS: random.between(0.5, 8), spikeKpa: random.between(10, 60) };
    case 'gaps':
      return {
        ...spec,
        gaps: [
          { atS: spec.durationS * 0.3, lengthS: random.between(0.2, 0.8) * cycleS },
          { atS: middleS, lengthS: random.between(1, 6) * cycleS },
        ],
      };
    case 'stamp jitter':
      return { ...spec, stampJitterS: random.between(0.05, 0.3) / spec.sampleRateHz };
    case 'hose lag':
      return { ...spec, hose: { lagS: cycleS * random.between(0.02, 0.15) } };
    case 'hose ringing':
      return { ...spec, hose: { ringHz: random.between(60, 200), ringDamping: random.between(0.08, 0.3) } };
    case 'restrictor':
      return { ...spec, hose: { restrictedToKpa: random.between(1, 4) }, noiseKpa: 0.05 };
    case 'blip':
      return { ...spec, ...blip(spec, middleS) };
    case 'pop':
      return { ...spec, pops: [{ channel, atS: middleS, kpa: random.between(15, 45) }] };
    case 'fallen hose':
      return { ...spec, faults: [{ channel, fromS: middleS, kind: 'off' }] };
    case 'blocked hose':
      return { ...spec, faults: [{ channel, fromS: middleS, kind: 'blocked' }] };
    case 'swapped hoses':
      return { ...spec, swappedHoses: [channel, (channel + 1) % taps] };
  }
}

const BLIP_RISE_S = 0.35;
const BLIP_FALL_S = 0.9;
const BLIP_TIMES = 2.2;

/** The throttle is opened and let go: the speed follows up and down, never beyond 6000 r/min. */
function blip(spec: EngineSpec, atS: number): Partial<EngineSpec> {
  const idle = typeof spec.rpm === 'number' ? spec.rpm : spec.rpm(0);
  const peak = Math.min(idle * BLIP_TIMES, Math.max(MAX_RPM, idle));
  const part = (timeS: number): number => {
    const since = timeS - atS;
    if (since <= 0) return 0;
    if (since < BLIP_RISE_S) return Math.sin((Math.PI / 2) * (since / BLIP_RISE_S)) ** 2;
    return Math.exp(-(since - BLIP_RISE_S) / (BLIP_FALL_S / 3));
  };
  return {
    rpm: (timeS) => idle + (peak - idle) * part(timeS),
    throttle: (timeS) => (timeS > atS && timeS < atS + BLIP_RISE_S ? 2 : 1),
  };
}

/** All cylinders draw evenly from one tap. */
function sharedManifold(
  { strokes }: Layout,
  random: SeededRandom,
): { readonly pulses: number; readonly spec: Partial<EngineSpec> } {
  const cycleDeg = strokes === 4 ? 720 : 360;
  const pulses = 2 + random.index(3);
  const further = Array.from({ length: pulses - 1 }, (_, i) => ((i + 1) * cycleDeg) / pulses);
  return { pulses, spec: { intakeAnglesDeg: [0], furtherPulsesDeg: [further], opening: [1] } };
}
